import './instruments.css';
import { useEffect, useId, useState } from 'react';
import { useStore } from 'zustand';
import { Button, Notice } from '../../parts/controls.tsx';
import { EditingBar } from '../../parts/editing-bar.tsx';
import { ChoiceField, TextField } from '../../parts/fields.tsx';
import { NumberField } from '../../parts/number-field.tsx';
import { EmptyState, FailedState, LoadingState } from '../../parts/states.tsx';
import { shownDay } from '../../parts/time-text.ts';
import { changed, createEditor, type EditorStore } from '../../state/editor.ts';
import { keepChanges } from '../../state/editor-effects.ts';
import {
  type Instrument,
  type InstrumentKind,
  instrumentKindTitles,
  instrumentsFrom,
  instrumentsPreferenceKey,
  isCalibrationOverdue,
  newInstrument,
} from '../../state/instruments.ts';
import { sentenceOf } from '../../state/sentence-of.ts';
import { useClient } from '../../state/services.ts';

const kinds = Object.keys(instrumentKindTitles) as InstrumentKind[];

/** What measures here, how finely, and when it was last checked. */
export function InstrumentsScreen() {
  const client = useClient();
  const [loaded, setLoaded] = useState<ReturnType<typeof instrumentsFrom> | null>(null);
  const [failure, setFailure] = useState<string | null>(null);
  const [attempt, setAttempt] = useState(0);
  // biome-ignore lint/correctness/useExhaustiveDependencies: "Try again" counts the attempts up to run this anew
  useEffect(() => {
    client
      .call('preferences.get', {})
      .then((all) => setLoaded(instrumentsFrom(all[instrumentsPreferenceKey])))
      .catch((error: unknown) => setFailure(sentenceOf(error)));
  }, [client, attempt]);
  if (failure !== null && loaded === null) {
    return (
      <FailedState
        isScreen
        what="The instruments can't be read"
        sentence={failure}
        onRetry={() => {
          setFailure(null);
          setAttempt(attempt + 1);
        }}
      />
    );
  }
  if (loaded === null) return <LoadingState what="Reading the instruments" />;
  return <InstrumentTable initial={loaded.list} leftOut={loaded.leftOut} />;
}

function InstrumentTable({ initial, leftOut }: { initial: readonly Instrument[]; leftOut: number }) {
  const client = useClient();
  const [editor] = useState(() => createEditor<readonly Instrument[]>(initial));
  const { value: list } = useStore(editor);
  useEffect(
    () =>
      keepChanges(
        editor,
        (value) => client.call('preferences.set', { key: instrumentsPreferenceKey, value: [...value] }),
        () => null,
      ),
    [client, editor],
  );
  const add = (kind: InstrumentKind) => editor.setState(changed(editor.getState(), [...list, newInstrument(kind)]));
  return (
    <div className="desk">
      <div className="row spread">
        <h1>Instruments</h1>
        <EditingBar editor={editor} takesKeys />
      </div>
      <p className="muted">
        The resolution of an instrument goes into the uncertainty of every reading taken with it: half a step either
        way, divided by the square root of 3. So does its calibration: half of the U that the certificate states, or a
        whole step either way for readings taken while it was not calibrated.
      </p>
      {leftOut === 0 ? null : (
        <Notice tone="caution">
          {leftOut} {leftOut === 1 ? 'entry' : 'entries'} could not be understood and {leftOut === 1 ? 'is' : 'are'} not
          shown.
        </Notice>
      )}
      {list.length === 0 ? (
        <EmptyState title="No instrument listed yet">
          <p>
            Readings can be typed without one; list those that you use, and their resolution is filled in by itself.
          </p>
        </EmptyState>
      ) : (
        <section className="panel table-scroll">
          <table className="table instrument-table">
            <thead>
              <tr>
                <th scope="col">Instrument</th>
                <th scope="col">Kind</th>
                <th scope="col">Smallest step</th>
                <th scope="col">Unit</th>
                <th scope="col">Number</th>
                <th scope="col">Calibrated on</th>
                <th scope="col">Due on</th>
                <th scope="col">U stated (k = 2)</th>
                <th scope="col">
                  <span className="visually-hidden">Remove</span>
                </th>
              </tr>
            </thead>
            <tbody>
              {list.map((one) => (
                <InstrumentRow key={one.id} instrument={one} editor={editor} />
              ))}
            </tbody>
          </table>
        </section>
      )}
      <div className="row">
        <span className="small muted">Add</span>
        {kinds.map((kind) => (
          <Button key={kind} name={`Add: ${instrumentKindTitles[kind]}`} onPress={() => add(kind)}>
            {instrumentKindTitles[kind]}
          </Button>
        ))}
      </div>
    </div>
  );
}

const units = (['mm', 'in', 'thou', 'deg', 'cm3'] as const).map((unit) => ({ value: unit, title: unit }));

function InstrumentRow({ instrument, editor }: { instrument: Instrument; editor: EditorStore<readonly Instrument[]> }) {
  const replace = (next: readonly Instrument[]) => editor.setState(changed(editor.getState(), next));
  const set = (change: Partial<Instrument>) =>
    replace(editor.getState().value.map((one) => (one.id === instrument.id ? { ...one, ...change } : one)));
  const isOverdue = isCalibrationOverdue(instrument, shownDay(new Date().toISOString()));
  const hint = `of ${instrument.name}`;
  return (
    <tr>
      <td>
        <TextField label={`Name ${hint}`} isLabelHidden value={instrument.name} onChange={(name) => set({ name })} />
      </td>
      <td>
        <ChoiceField
          label={`Kind ${hint}`}
          isLabelHidden
          value={instrument.kind}
          choices={kinds.map((kind) => ({ value: kind, title: instrumentKindTitles[kind] }))}
          onChange={(kind) => set({ kind })}
        />
      </td>
      <td className="instrument-step">
        <NumberField
          label={`Smallest step ${hint}`}
          isLabelHidden
          kind="plain"
          decimals={5}
          value={instrument.resolution}
          isRequired
          lower={0}
          isLowerExcluded
          onChange={(resolution) => {
            if (resolution !== null) set({ resolution });
          }}
        />
      </td>
      <td>
        <ChoiceField
          label={`Unit ${hint}`}
          isLabelHidden
          value={instrument.unit}
          choices={units}
          onChange={(unit) => set({ unit })}
        />
      </td>
      <td>
        <TextField
          label={`Number ${hint}`}
          isLabelHidden
          value={instrument.serialNumber}
          onChange={(serialNumber) => set({ serialNumber })}
        />
      </td>
      <td>
        <DayField
          label={`Calibrated on ${hint}`}
          value={instrument.calibratedOn}
          onChange={(calibratedOn) => set({ calibratedOn })}
        />
      </td>
      <td>
        <DayField
          label={`Calibration due on ${hint}`}
          value={instrument.calibrationDueOn}
          onChange={(calibrationDueOn) => set({ calibrationDueOn })}
        />
        {isOverdue ? <p className="field-error">Overdue: check it before it is trusted</p> : null}
      </td>
      <td className="instrument-step">
        <NumberField
          label={`Expanded uncertainty on the certificate ${hint}`}
          isLabelHidden
          kind="plain"
          decimals={5}
          value={instrument.calibrationExpanded}
          lower={0}
          onChange={(calibrationExpanded) => set({ calibrationExpanded })}
        />
      </td>
      <td className="figure">
        <Button
          look="quiet"
          name={`Remove ${instrument.name}`}
          onPress={() => replace(editor.getState().value.filter((one) => one.id !== instrument.id))}
        >
          Remove
        </Button>
      </td>
    </tr>
  );
}

function DayField({ label, value, onChange }: { label: string; value: string; onChange: (day: string) => void }) {
  const id = useId();
  return (
    <div className="field">
      <label className="visually-hidden" htmlFor={id}>
        {label}
      </label>
      <div className="field-box">
        <input id={id} type="date" value={value} onChange={(event) => onChange(event.target.value)} />
      </div>
    </div>
  );
}
