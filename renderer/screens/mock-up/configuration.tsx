import '../../parts/forms/forms.css';
import { useEffect, useRef, useState } from 'react';
import { useStore } from 'zustand';
import type { MockUpWhole } from '../../../core/contract/messages.ts';
import { recordableChanges } from '../../../core/mockup/void-plan.ts';
import { LinkButton } from '../../parts/controls.tsx';
import { EditingBar } from '../../parts/editing-bar.tsx';
import { MockUpForm } from '../../parts/forms/mock-up-form.tsx';
import {
  type AssemblyDraft,
  assemblyOf,
  assemblyProblem,
  type VoidQuestion,
  voidQuestion,
} from '../../state/assembly-draft.ts';
import { changed, createEditor, undone } from '../../state/editor.ts';
import { keepChanges } from '../../state/editor-effects.ts';
import { keepMockUp } from '../../state/mock-up-edit-effects.ts';
import { useClient, useMockUpState } from '../../state/services.ts';
import { useCheckSession } from '../../state/use-check-results.ts';
import { AssemblyFields } from './assembly-fields.tsx';
import { VoidNotice } from './void-notice.tsx';

/** How the mock-up is put together; editable, kept as it is typed, but for what would make readings void. */
export function Configuration() {
  const { whole } = useMockUpState();
  return whole === null ? null : <ConfigurationEditor key={whole.mockUp.id} whole={whole} />;
}

function ConfigurationEditor({ whole }: { whole: MockUpWhole }) {
  const client = useClient();
  const session = useCheckSession();
  const [editor] = useState(() => createEditor<AssemblyDraft>(assemblyOf(whole)));
  const { value } = useStore(editor);
  /** The draft whose question was answered: it may be kept. */
  const answered = useRef<AssemblyDraft | null>(null);
  const latest = useRef(whole);
  latest.current = whole;
  const mockUpId = whole.mockUp.id;
  const ports = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports : [];
  useEffect(
    () =>
      keepChanges(
        editor,
        (draft) => keepMockUp(client, mockUpId, draft),
        (draft) => {
          const { barrel } = latest.current;
          const problem = assemblyProblem(draft, barrel.kind === 'barrel' ? barrel.data.ports : []);
          if (problem !== null) return problem.sentence;
          return answered.current === draft || voidQuestion(latest.current, draft) === null
            ? null
            : 'Say first whether the readings become void.';
        },
      ),
    [client, editor, mockUpId],
  );
  const problem = assemblyProblem(value, ports);
  const question = answered.current === value || problem !== null ? null : voidQuestion(whole, value);
  const set = (draft: AssemblyDraft) => editor.setState(changed(editor.getState(), draft));
  /** A fresh copy wakes the watch that keeps changes. */
  const keepNow = () => {
    const copy = { ...value };
    answered.current = copy;
    editor.setState({ ...editor.getState(), value: copy, phase: 'changed' });
  };
  const engine = whole.engine.kind === 'engine' ? whole.engine.data : null;
  return (
    <section className="panel stack" aria-label="As assembled">
      <div className="row spread">
        <h2>As assembled</h2>
        <EditingBar editor={editor} takesKeys />
      </div>
      {question === null ? null : (
        <VoidNotice
          question={question}
          onChanged={() => {
            const [kind] = question.changes;
            if (kind !== undefined) session.recordChange(kind, titleOf(question), noteOf(whole, value), question.plan);
            keepNow();
          }}
          onCorrected={keepNow}
          onUndo={() => editor.setState(undone(editor.getState()))}
        />
      )}
      <MockUpForm
        mockUp={value}
        problem={problem}
        cylinderNames={(engine?.crankPhasesDeg ?? []).map((_, at) => engine?.cylinderNames[at] ?? `Cylinder ${at + 1}`)}
        onChange={(draft) => set({ ...value, ...draft })}
      />
      <AssemblyFields draft={value} ports={ports} problem={problem} onChange={set} />
      <div className="row">
        <LinkButton look="quiet" to={{ screen: 'build', buildId: whole.build.id }}>
          Engine and job
        </LinkButton>
        <LinkButton look="quiet" to={{ screen: 'part', partId: whole.barrel.id }}>
          Ports of {whole.barrel.name}
        </LinkButton>
        <LinkButton look="quiet" to={{ screen: 'parts' }}>
          Parts of the book
        </LinkButton>
        <LinkButton look="quiet" to={{ screen: 'history', of: 'record', id: mockUpId }}>
          History
        </LinkButton>
      </div>
    </section>
  );
}

function titleOf({ changes }: VoidQuestion): string {
  return changes.map((kind) => recordableChanges.find((one) => one.kind === kind)?.title ?? kind).join('; ');
}

/** What the sizes were before and are now, where a gasket's thickness changed. */
function noteOf({ mockUp }: MockUpWhole, draft: AssemblyDraft): string {
  const part = (title: string, before: number | null, after: number | null) =>
    before === after ? '' : `${title} ${before ?? 'not said'} mm before, ${after ?? 'not said'} mm now`;
  return [
    part('base gasket', mockUp.baseGasketMm, draft.baseGasketMm),
    part('head gasket', mockUp.headGasketMm, draft.headGasketMm),
  ]
    .filter((text) => text !== '')
    .join('; ');
}
