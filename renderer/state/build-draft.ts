import type { BarrelData, EdgeCriterion, EngineData, Offset, Port, PortKind } from '../../core/contract/parts.ts';
import { crankFrom } from '../../core/crank/geometry.ts';
import { InputError } from '../../core/errors.ts';

/** An engine as far as it is typed. */
export interface EngineDraft extends Omit<EngineData, 'strokeMm' | 'rodLengthMm'> {
  readonly name: string;
  readonly strokeMm: number | null;
  readonly rodLengthMm: number | null;
}

export interface BarrelDraft {
  readonly name: string;
  readonly marks: string;
  readonly data: BarrelData;
}

export interface JobDraft {
  readonly title: string;
  readonly jobNumber: string;
  readonly measuredBy: string;
  readonly notes: string;
  readonly customerName: string;
  readonly customerContact: string;
}

export interface MockUpDraft {
  readonly name: string;
  readonly baseGasketMm: number | null;
  readonly cylinderIndex: number;
  readonly criterion: EdgeCriterion;
  readonly roomTemperatureC: number | null;
}

/** Everything that the flow "New build" asks for. */
export interface BuildDraft {
  readonly job: JobDraft;
  /** An engine that is in the book already, or null for the one typed here. */
  readonly engineId: string | null;
  readonly engine: EngineDraft;
  readonly barrel: BarrelDraft;
  readonly mockUp: MockUpDraft;
}

export const draftSteps = ['job', 'engine', 'barrel', 'mock-up'] as const;
export type DraftStep = (typeof draftSteps)[number];

const noOffset: Offset = { mm: 0, side: 'swing_side' };

export const emptyPort: Omit<Port, 'portId' | 'kind' | 'side' | 'label' | 'windowCount'> = {
  widthMm: null,
  heightMm: null,
  cornerRadiusTopMm: 0,
  cornerRadiusBottomMm: 0,
  roofDropMm: 0,
  edgeFromDeckMm: null,
  azimuthDeg: null,
  elevationDeg: null,
};

/** One exhaust and the transfers as a group: what the first mock-up of any barrel needs. */
export const usualPorts: readonly Port[] = [
  { ...emptyPort, portId: 'exhaust', kind: 'exhaust', side: 'none', label: 'Exhaust', windowCount: 1 },
  { ...emptyPort, portId: 'transfers', kind: 'transfer_main', side: 'both', label: 'Transfers', windowCount: 2 },
];

export const emptyEngine: EngineDraft = {
  name: '',
  strokeMm: null,
  rodLengthMm: null,
  cylinderOffset: noOffset,
  pinOffset: noOffset,
  crankPhasesDeg: [0],
  cylinderNames: [],
  speedRpm: null,
  crankcaseVolumeBdcCc: null,
  ignitionAdvanceDeg: null,
};

export const emptyBarrel: BarrelDraft = {
  name: '',
  marks: '',
  data: { boreMm: null, ports: [...usualPorts], specifications: [] },
};

export const emptyBuildDraft: BuildDraft = {
  job: { title: '', jobNumber: '', measuredBy: '', notes: '', customerName: '', customerContact: '' },
  engineId: null,
  engine: emptyEngine,
  barrel: emptyBarrel,
  mockUp: {
    name: 'Mock-up 1',
    baseGasketMm: null,
    cylinderIndex: 0,
    criterion: { kind: 'first_light', thicknessMm: 0 },
    roomTemperatureC: null,
  },
};

/** What is wrong in a step: the field's name and the sentence to show there. */
export interface FieldProblem {
  readonly field: string;
  readonly sentence: string;
}

/** Signed offset of the gudgeon pin's path: positive towards the side that the crank pin swings to after TDC. */
export function signedOffsetMm(cylinderOffset: Offset, pinOffset: Offset): number {
  const signed = (offset: Offset) => (offset.side === 'swing_side' ? offset.mm : -offset.mm);
  return signed(cylinderOffset) + signed(pinOffset);
}

/** Asks core whether a crank of these sizes can turn; the sentence is core's own. */
export function engineProblem(engine: EngineDraft): FieldProblem | null {
  if (engine.name.trim() === '')
    return { field: 'name', sentence: 'Give the engine a name, for instance its type and capacity.' };
  if (engine.strokeMm === null)
    return { field: 'strokeMm', sentence: 'The stroke is needed: measure it from TDC to BDC.' };
  if (engine.rodLengthMm === null) {
    return {
      field: 'rodLengthMm',
      sentence: "The rod length is needed, eye centre to eye centre: measure it or take the maker's.",
    };
  }
  try {
    crankFrom({
      strokeMm: engine.strokeMm,
      rodLengthMm: engine.rodLengthMm,
      offsetMm: signedOffsetMm(engine.cylinderOffset, engine.pinOffset),
    });
    return null;
  } catch (error) {
    if (error instanceof InputError) return { field: error.field, sentence: error.message };
    throw error;
  }
}

export function jobProblem(job: Pick<JobDraft, 'title'>): FieldProblem | null {
  return job.title.trim() === ''
    ? { field: 'title', sentence: 'Give the job a title, so that it can be found again.' }
    : null;
}

export function barrelProblem(barrel: BarrelDraft): FieldProblem | null {
  if (barrel.name.trim() === '')
    return { field: 'name', sentence: 'Give the barrel a name, for instance its marks or a letter.' };
  if (barrel.data.ports.length === 0)
    return { field: 'ports', sentence: 'List at least one port: its edges are what the bench asks for.' };
  const unnamed = barrel.data.ports.find((port) => port.label.trim() === '');
  if (unnamed !== undefined) return { field: `label ${unnamed.portId}`, sentence: 'Every port needs a label.' };
  const labels = barrel.data.ports.map((port) => port.label.trim().toLowerCase());
  const twice = barrel.data.ports.find((port, index) => labels.indexOf(port.label.trim().toLowerCase()) !== index);
  if (twice !== undefined)
    return {
      field: `label ${twice.portId}`,
      sentence: `Two ports are called "${twice.label}": the bench could not tell them apart.`,
    };
  return null;
}

export function mockUpProblem(mockUp: MockUpDraft): FieldProblem | null {
  if (mockUp.name.trim() === '')
    return { field: 'name', sentence: 'Give the mock-up a name, for instance what is different about it.' };
  if (mockUp.criterion.kind === 'blade' && mockUp.criterion.thicknessMm <= 0) {
    return {
      field: 'thicknessMm',
      sentence: 'Give the thickness of the blade: it makes the edge late and is computed out.',
    };
  }
  return null;
}

export function stepProblem(draft: BuildDraft, step: DraftStep): FieldProblem | null {
  switch (step) {
    case 'job':
      return jobProblem(draft.job);
    case 'engine':
      return draft.engineId === null ? engineProblem(draft.engine) : null;
    case 'barrel':
      return barrelProblem(draft.barrel);
    case 'mock-up':
      return mockUpProblem(draft.mockUp);
  }
}

/** A port with an id that the barrel doesn't use yet; ids stay when ports are removed or renamed. */
export function withNewPort(barrel: BarrelData, kind: PortKind, label: string, side: Port['side']): BarrelData {
  const taken = new Set(barrel.ports.map((port) => port.portId));
  const stem = kind.replaceAll('_', '-');
  let number = 1;
  while (taken.has(`${stem}-${number}`)) number += 1;
  const names = new Set(barrel.ports.map((port) => port.label));
  let freeLabel = label;
  for (let count = 2; names.has(freeLabel); count += 1) freeLabel = `${label} ${count}`;
  const port: Port = {
    ...emptyPort,
    portId: `${stem}-${number}`,
    kind,
    side,
    label: freeLabel,
    windowCount: side === 'both' ? 2 : 1,
  };
  return { ...barrel, ports: [...barrel.ports, port] };
}

export function withoutPort(barrel: BarrelData, portId: string): BarrelData {
  return { ...barrel, ports: barrel.ports.filter((port) => port.portId !== portId) };
}

export function withPort(barrel: BarrelData, portId: string, change: Partial<Port>): BarrelData {
  return { ...barrel, ports: barrel.ports.map((port) => (port.portId === portId ? { ...port, ...change } : port)) };
}

/** Even spacing of the crank pins for a number of cylinders; corrected by hand where the engine differs. */
export function evenPhasesDeg(cylinders: number): number[] {
  return Array.from({ length: cylinders }, (_, index) => (360 / cylinders) * index);
}
