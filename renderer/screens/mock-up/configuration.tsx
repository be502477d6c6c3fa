import '../../parts/forms/forms.css';
import { useEffect, useState } from 'react';
import { useStore } from 'zustand';
import type { MockUpWhole } from '../../../core/contract/messages.ts';
import { LinkButton } from '../../parts/controls.tsx';
import { EditingBar } from '../../parts/editing-bar.tsx';
import { MockUpForm } from '../../parts/forms/mock-up-form.tsx';
import { type MockUpDraft, mockUpProblem } from '../../state/build-draft.ts';
import { changed, createEditor } from '../../state/editor.ts';
import { keepChanges } from '../../state/editor-effects.ts';
import { keepMockUp } from '../../state/mock-up-edit-effects.ts';
import { useClient, useMockUpState } from '../../state/services.ts';

/** How the mock-up is put together; editable, kept as it is typed. */
export function Configuration() {
  const { whole } = useMockUpState();
  return whole === null ? null : <ConfigurationEditor key={whole.mockUp.id} whole={whole} />;
}

function ConfigurationEditor({ whole }: { whole: MockUpWhole }) {
  const client = useClient();
  const [editor] = useState(() => createEditor<MockUpDraft>(draftOf(whole)));
  const { value } = useStore(editor);
  const mockUpId = whole.mockUp.id;
  useEffect(
    () =>
      keepChanges(
        editor,
        (draft) => keepMockUp(client, mockUpId, draft),
        (draft) => mockUpProblem(draft)?.sentence ?? null,
      ),
    [client, editor, mockUpId],
  );
  const engine = whole.engine.kind === 'engine' ? whole.engine.data : null;
  return (
    <section className="panel stack" aria-label="As assembled">
      <div className="row spread">
        <h2>As assembled</h2>
        <EditingBar editor={editor} takesKeys />
      </div>
      <MockUpForm
        mockUp={value}
        problem={mockUpProblem(value)}
        cylinderNames={(engine?.crankPhasesDeg ?? []).map((_, at) => engine?.cylinderNames[at] ?? `Cylinder ${at + 1}`)}
        onChange={(draft) => editor.setState(changed(editor.getState(), draft))}
      />
      <div className="row">
        <LinkButton look="quiet" to={{ screen: 'build', buildId: whole.build.id }}>
          Engine and job
        </LinkButton>
      </div>
    </section>
  );
}

function draftOf(whole: MockUpWhole): MockUpDraft {
  const { name, baseGasketMm, cylinderIndex, criterion, roomTemperatureC } = whole.mockUp;
  return { name, baseGasketMm, cylinderIndex, criterion, roomTemperatureC };
}
