import { useState } from 'react';
import type { OutputOf } from '../../../core/contract/messages.ts';
import type { Part } from '../../../core/contract/parts.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { ChoiceField } from '../../parts/fields.tsx';
import { BarrelForm } from '../../parts/forms/barrel-form.tsx';
import { MockUpForm } from '../../parts/forms/mock-up-form.tsx';
import {
  type BarrelDraft,
  barrelProblem,
  emptyBarrel,
  emptyBuildDraft,
  type FieldProblem,
  type MockUpDraft,
  mockUpProblem,
} from '../../state/build-draft.ts';
import { sentenceOf } from '../../state/sentence-of.ts';
import { navigate, useClient } from '../../state/services.ts';
import { useWords } from '../../state/words.ts';

interface NewMockUpProps {
  readonly whole: OutputOf<'build.whole'>;
  readonly engine: Part | null;
  readonly barrels: readonly Part[];
  readonly onMade: () => void;
}

/** A further mock-up of the same build, with a barrel of the book, a copy of one, or a new one. */
export function NewMockUp({ whole, engine, barrels, onMade }: NewMockUpProps) {
  const client = useClient();
  const words = useWords();
  const [mockUp, setMockUp] = useState<MockUpDraft>({
    ...emptyBuildDraft.mockUp,
    name: `Mock-up ${whole.mockUps.length + 1}`,
  });
  const [barrelId, setBarrelId] = useState(barrels[0]?.id ?? 'new');
  const [barrel, setBarrel] = useState<BarrelDraft>(emptyBarrel);
  const [problem, setProblem] = useState<FieldProblem | null>(null);
  const [failure, setFailure] = useState<string | null>(null);
  if (engine?.kind !== 'engine') return <Notice tone="caution">This build has no engine yet.</Notice>;

  const make = async () => {
    const first = (barrelId === 'new' ? barrelProblem(barrel) : null) ?? mockUpProblem(mockUp);
    setProblem(first);
    if (first !== null) return;
    try {
      const usedBarrelId =
        barrelId === 'new' ? (await client.call('part.create', { kind: 'barrel', ...barrel })).id : barrelId;
      const made = await client.call('mockUp.create', {
        buildId: whole.build.id,
        engineId: engine.id,
        barrelId: usedBarrelId,
        ...mockUp,
      });
      onMade();
      navigate({ screen: 'mock-up', mockUpId: made.id, place: 'overview' });
    } catch (error) {
      setFailure(sentenceOf(error));
    }
  };
  const like = (id: string) => {
    const source = barrels.find((part) => part.id === id);
    if (source?.kind === 'barrel') setBarrel({ name: '', marks: '', data: { ...source.data, specifications: [] } });
  };
  return (
    <div className="stack">
      <ChoiceField
        label={words.Barrel}
        value={barrelId}
        choices={[
          ...barrels.map((part) => ({ value: part.id, title: part.name })),
          { value: 'new', title: `A new ${words.barrel}` },
        ]}
        onChange={setBarrelId}
      />
      {barrelId !== 'new' ? null : (
        <>
          {barrels.length === 0 ? null : (
            <ChoiceField
              label={`Same ports as a ${words.barrel} of the book`}
              value=""
              choices={[{ value: '', title: 'No' }, ...barrels.map((part) => ({ value: part.id, title: part.name }))]}
              hint="Readings of both then line up in Compare"
              onChange={like}
            />
          )}
          <BarrelForm barrel={barrel} onChange={setBarrel} problem={problem} />
        </>
      )}
      <MockUpForm
        mockUp={mockUp}
        onChange={setMockUp}
        problem={problem}
        cylinderNames={engine.data.crankPhasesDeg.map((_, at) => engine.data.cylinderNames[at] ?? `Cylinder ${at + 1}`)}
      />
      {failure === null ? null : <Notice tone="failure">{failure}</Notice>}
      <div className="row">
        <Button look="main" onPress={() => void make()}>
          Make the mock-up
        </Button>
      </div>
    </div>
  );
}
