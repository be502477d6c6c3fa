import type { GasketData, HeadData, Part, PartContent, PartKind, PistonData } from '../../core/contract/parts.ts';
import {
  barrelProblem,
  type EngineDraft,
  emptyBarrel,
  emptyEngine,
  engineProblem,
  type FieldProblem,
} from './build-draft.ts';
import { engineDataOf } from './build-draft-effects.ts';

/** A part as far as it is typed. Only an engine can be incomplete: it has no sense without stroke and rod. */
export type PartDraft =
  | Exclude<PartContent, { kind: 'engine' }>
  | {
      readonly kind: 'engine';
      readonly name: string;
      readonly marks: string;
      readonly notes: string;
      readonly data: Omit<EngineDraft, 'name'>;
    };
export type PartDraftOf<K extends PartKind> = Extract<PartDraft, { kind: K }>;

const emptyPiston: PistonData = {
  diameterMm: null,
  gaugeHeightMm: null,
  skirtLengthMm: null,
  domeVolumeCc: null,
  massG: null,
  specifications: [],
};
const emptyHead: HeadData = { volumeCc: null, bowlDiameterMm: null, squishBandTaperDeg: 0, specifications: [] };
const emptyGasket: GasketData = { place: 'base', thicknessNewMm: null, thicknessCrushedMm: null, boreMm: null };

export function emptyPart(kind: PartKind): PartDraft {
  const common = { name: '', marks: '', notes: '' };
  switch (kind) {
    case 'engine': {
      const { name: _, ...data } = emptyEngine;
      return { kind, ...common, data };
    }
    case 'barrel':
      return { kind, ...common, data: emptyBarrel.data };
    case 'piston':
      return { kind, ...common, data: emptyPiston };
    case 'head':
      return { kind, ...common, data: emptyHead };
    case 'gasket':
      return { kind, ...common, data: emptyGasket };
  }
}

export function draftOfPart(part: Part): PartDraft {
  const { id: _id, workplaceId: _workplace, createdAt: _time, ...content } = part;
  return content;
}

/** What is wrong with a part, with the field that says so. */
export function partProblem(draft: PartDraft): FieldProblem | null {
  switch (draft.kind) {
    case 'engine':
      return engineProblem({ name: draft.name, ...draft.data });
    case 'barrel':
      return barrelProblem(draft);
    case 'piston':
      return nameProblem(draft, 'for instance its size mark');
    case 'head':
      return nameProblem(draft, 'for instance its marks or what was cut off it');
    case 'gasket':
      return nameProblem(draft, 'for instance its thickness and material');
  }
}

function nameProblem({ kind, name }: PartDraft, hint: string): FieldProblem | null {
  return name.trim() === '' ? { field: 'name', sentence: `Give the ${kind} a name, ${hint}.` } : null;
}

/** A part that passed `partProblem`, as the book keeps it. Limits are edited elsewhere: those of the book stay. */
export function contentOfDraft(draft: PartDraft, stored: PartContent | null): PartContent {
  switch (draft.kind) {
    case 'engine':
      return { ...draft, data: engineDataOf({ name: draft.name, ...draft.data }) };
    case 'barrel':
      return stored?.kind === 'barrel'
        ? { ...draft, data: { ...draft.data, specifications: stored.data.specifications } }
        : draft;
    case 'piston':
      return stored?.kind === 'piston'
        ? { ...draft, data: { ...draft.data, specifications: stored.data.specifications } }
        : draft;
    case 'head':
      return stored?.kind === 'head'
        ? { ...draft, data: { ...draft.data, specifications: stored.data.specifications } }
        : draft;
    case 'gasket':
      return draft;
  }
}
