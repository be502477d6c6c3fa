import './preferences.css';
import { useState } from 'react';
import { useStore } from 'zustand';
import { Button, Notice } from '../../parts/controls.tsx';
import { ChoiceField, TickField } from '../../parts/fields.tsx';
import { NumberField } from '../../parts/number-field.tsx';
import {
  type AnyPreference,
  initialPreferences,
  type PreferenceKey,
  type Preferences,
  preferenceKeys,
  preferenceList,
} from '../../state/preference-list.ts';
import { setPreference } from '../../state/preferences-store.ts';
import { useClient, useHost, useServices } from '../../state/services.ts';
import { ControllerField } from './controller-field.tsx';
import { KeyField } from './key-field.tsx';
import { KnockField } from './knock-field.tsx';

const groups: readonly { readonly id: AnyPreference['group']; readonly title: string }[] = [
  { id: 'units', title: 'Units and numbers' },
  { id: 'words', title: 'Words' },
  { id: 'look', title: 'Look' },
  { id: 'keys', title: 'Keys, foot switch and other signals' },
  { id: 'sound', title: 'Tones and voice' },
  { id: 'reading', title: 'Assumptions of the reading' },
  { id: 'paper', title: 'Paper' },
];

/** Everything adjustable, each with its default and why it is the default. */
export function PreferencesScreen() {
  const { preferences } = useServices();
  const { failure } = useStore(preferences);
  return (
    <div className="desk">
      <h1>Preferences</h1>
      <p className="muted">
        Changes count at once and are kept. Defaults marked [T] are our own choice and not taken from a standard.
      </p>
      {failure === null ? null : <Notice tone="failure">{failure}</Notice>}
      {groups.map((group) => (
        <section key={group.id} className="panel" aria-label={group.title}>
          <h2>{group.title}</h2>
          <div className="preference-list">
            {preferenceKeys
              .filter((key) => preferenceList[key].group === group.id)
              .map((key) => (
                <PreferenceRow key={key} name={key} />
              ))}
          </div>
        </section>
      ))}
      <ThisProgram />
    </div>
  );
}

function PreferenceRow({ name }: { name: PreferenceKey }) {
  const client = useClient();
  const { preferences } = useServices();
  const value = useStore(preferences, (state) => state.values[name]);
  const entry: AnyPreference = preferenceList[name];
  const initial = initialPreferences[name];
  const set = (next: Preferences[PreferenceKey]) => void setPreference(client, preferences, name, next as never);
  return (
    <div className="preference">
      <Control name={name} entry={entry} value={value} onChange={set} />
      <p className="preference-reason">
        {entry.reason}
        {value === initial ? null : (
          <>
            {' '}
            <Button
              look="quiet"
              onPress={() => set(initial)}
              name={`${entry.title}: back to ${describe(entry, initial)}`}
            >
              Back to {describe(entry, initial)}
            </Button>
          </>
        )}
      </p>
    </div>
  );
}

interface ControlProps {
  readonly name: PreferenceKey;
  readonly entry: AnyPreference;
  readonly value: Preferences[PreferenceKey];
  readonly onChange: (value: Preferences[PreferenceKey]) => void;
}

function Control({ name, entry, value, onChange }: ControlProps) {
  if (typeof value === 'boolean') return <TickField label={entry.title} isOn={value} onChange={onChange} />;
  if (name === 'gameControllerButton' && typeof value === 'number') {
    return <ControllerField label={entry.title} value={value} onChange={onChange} />;
  }
  if (name === 'knockLevel' && typeof value === 'number') {
    return <KnockField label={entry.title} value={value} onChange={onChange} />;
  }
  if (typeof value === 'number') {
    return (
      <NumberField
        label={entry.title}
        kind="plain"
        value={value}
        unit={entry.unit ?? ''}
        isRequired
        {...(entry.lower === undefined ? {} : { lower: entry.lower })}
        {...(entry.upper === undefined ? {} : { upper: entry.upper })}
        onChange={(next) => {
          if (next !== null) onChange(next);
        }}
      />
    );
  }
  if (entry.choices !== undefined) {
    const choices = Object.entries(entry.choices).map(([choice, title]) => ({ value: choice, title }));
    return (
      <ChoiceField
        label={entry.title}
        value={value}
        choices={choices}
        onChange={(next) => onChange(next as Preferences[PreferenceKey])}
      />
    );
  }
  return <KeyField name={name} label={entry.title} value={value} onChange={onChange} />;
}

function describe(entry: AnyPreference, value: unknown): string {
  if (typeof value === 'boolean') return value ? 'on' : 'off';
  if (typeof value === 'number') return `${value} ${entry.unit ?? ''}`.trim();
  return (entry.choices?.[String(value)] ?? String(value)).toLowerCase();
}

function ThisProgram() {
  const { info, failure } = useHost();
  const [isCopied, setCopied] = useState(false);
  if (info === null) return failure === null ? null : <Notice tone="failure">{failure}</Notice>;
  const copy = async () => {
    try {
      await navigator.clipboard.writeText(info.databasePath);
      setCopied(true);
    } catch (error) {
      console.warn('The path could not be copied:', error);
    }
  };
  return (
    <section className="panel" aria-label="This program">
      <h2>This program</h2>
      <dl className="facts">
        <dt>Version</dt>
        <dd>{info.version}</dd>
        <dt>Database</dt>
        <dd>
          <code>{info.databasePath}</code>{' '}
          <Button look="quiet" onPress={() => void copy()}>
            {isCopied ? 'Copied' : 'Copy the path'}
          </Button>
        </dd>
        <dt>Workplace</dt>
        <dd>
          {info.workplaceName === '' ? 'This computer' : info.workplaceName}{' '}
          <span className="muted">{info.workplaceId}</span>
        </dd>
        <dt>Runs in</dt>
        <dd>{info.shell === 'electron' ? 'its own window' : "the system's browser, served by this computer alone"}</dd>
        <dt>PDF</dt>
        <dd>{info.canPrintPdf ? 'made by the program' : "through the browser's print dialog"}</dd>
        {info.demo ? (
          <>
            <dt>Demo</dt>
            <dd>This is the demo's own book; yours is not touched.</dd>
          </>
        ) : null}
      </dl>
    </section>
  );
}
