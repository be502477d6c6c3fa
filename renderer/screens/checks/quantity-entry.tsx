import { useState } from 'react';
import type { PlaceReadings } from '../../../core/mockup/check-readings.ts';
import { feelerSeriesInch, feelerSeriesMm } from '../../../core/mockup/feeler-series.ts';
import type { StepQuantity } from '../../../core/mockup/step-shape.ts';
import { placeTitle } from '../../../core/mockup/steps.ts';
import { ChoiceField } from '../../parts/fields.tsx';
import { expandedText, figureText } from '../../parts/figure-text.ts';
import { NumberField } from '../../parts/number-field.tsx';
import { writeNumber } from '../../parts/typed-number.ts';
import { type Instrument, instrumentsFor, stepOfInstrument } from '../../state/instruments.ts';
import type { Preferences } from '../../state/preference-list.ts';
import { usePreferences } from '../../state/services.ts';
import { useCheckSession } from '../../state/use-check-results.ts';
import { asTyped, differenceOf, numberKind } from './as-typed.ts';
import { ReadingChips, ReadingDetail } from './reading-chips.tsx';
import { usualStepOf } from './usual-step.ts';

interface QuantityEntryProps {
  readonly quantity: StepQuantity;
  readonly places: readonly PlaceReadings[];
  readonly instruments: readonly Instrument[];
  /** What is to be said about the instruments used so far. */
  readonly note: string | null;
}

/** One quantity: with which instrument, to which step, and its readings place by place. */
export function QuantityEntry({ quantity, places, instruments, note }: QuantityEntryProps) {
  const preferences = usePreferences();
  const fitting = instrumentsFor(instruments, quantity.instruments, quantity.unit);
  const last = lastReading(places);
  const [chosen, setChosen] = useState<string | null>(null);
  const [typedStep, setTypedStep] = useState<number | null>(null);
  const instrumentId = chosen ?? last?.instrumentId ?? '';
  const instrument = fitting.find(({ id }) => id === instrumentId) ?? null;
  const resolution =
    instrument !== null
      ? stepOfInstrument(instrument)
      : (typedStep ?? last?.resolution ?? usualStepOf(quantity, preferences));
  return (
    <section className="checks-quantity" aria-label={quantity.title}>
      <div className="checks-instrument">
        <h3>
          {quantity.title} <span className="small muted">{wantedWords(quantity)}</span>
        </h3>
        {fitting.length === 0 ? null : (
          <ChoiceField
            label="Instrument"
            value={instrument?.id ?? ''}
            choices={[
              { value: '', title: 'not from the list' },
              ...fitting.map(({ id, name }) => ({ value: id, title: name })),
            ]}
            onChange={setChosen}
          />
        )}
        <NumberField
          label="Read to steps of"
          kind={numberKind(quantity)}
          unit={quantity.unit}
          decimals={4}
          value={resolution}
          lower={0}
          isLowerExcluded
          isDisabled={instrument !== null}
          onChange={setTypedStep}
        />
      </div>
      {quantity.hint === '' ? null : <p className="small muted">{quantity.hint}</p>}
      {note === null ? null : <p className="small checks-note">{note}</p>}
      <ul className="checks-places">
        {places.map((place) => (
          <Place key={place.position.id} place={place} resolution={resolution} instrumentId={instrument?.id ?? null} />
        ))}
      </ul>
    </section>
  );
}

function wantedWords({ need, repeats }: StepQuantity): string {
  return [need === 'none' ? 'where it helps' : '', repeats > 1 ? `${repeats} readings each` : '']
    .filter((part) => part !== '')
    .join(', ');
}

function lastReading(
  places: readonly PlaceReadings[],
): { instrumentId: string | null; resolution: number | null } | null {
  const all = places.flatMap(({ stamps }) => stamps).toSorted((a, b) => (a.root.takenAt < b.root.takenAt ? -1 : 1));
  const subject = all.at(-1)?.current.subject;
  return subject?.what === 'quantity' ? { instrumentId: subject.instrumentId, resolution: subject.resolution } : null;
}

/** Read as end less start on a burette; other differences are worked out by the instrument itself. */
const isPoured = ({ isDifference, kind }: StepQuantity): boolean => isDifference && kind === 'volume';

interface Draft {
  readonly value: number;
  readonly text: string;
}

/** Where the scale stood last is offered as the next start: a burette is often poured on from there. */
function lastEnd(place: PlaceReadings, preferences: Preferences): { readonly suggestions?: readonly string[] } {
  const subject = place.stamps.findLast((stamp) => !stamp.struck)?.current.subject;
  const end = subject?.what === 'quantity' ? (subject.fromTo?.end ?? subject.value) : null;
  return end === null ? {} : { suggestions: [writeNumber(end, 4, preferences.decimalMark)] };
}

interface PlaceProps {
  readonly place: PlaceReadings;
  readonly resolution: number | null;
  readonly instrumentId: string | null;
}

/** A place: field, readings so far, mean. Enter keeps the reading and stays for the next repeat. */
function Place({ place, resolution, instrumentId }: PlaceProps) {
  const session = useCheckSession();
  const preferences = usePreferences();
  const { quantity, position, usable, value } = place;
  const [kept, setKept] = useState(0);
  const [draft, setDraft] = useState<Draft | null>(null);
  const [start, setStart] = useState<Draft | null>(null);
  const [openId, setOpenId] = useState<string | null>(null);
  const open = place.stamps.find(({ root }) => root.id === openId) ?? null;
  const title = placeTitle(quantity, position);
  const decimals = quantity.unit === 'mm' ? 3 : quantity.unit === 'cm3' ? 2 : 1;
  const read = draft === null ? null : start === null ? draft.value : differenceOf(start.value, draft.value);
  const isPossible = read !== null && read >= quantity.lower && read <= quantity.upper;
  const keep = () => {
    if (draft === null || read === null || !isPossible) return;
    const typed = asTyped(draft.text, quantity, preferences);
    session.keep(title, {
      quantity: quantity.id,
      position: position.id,
      value: read,
      unit: quantity.unit,
      typedText: start === null ? typed : `${start.text.trim()} to ${typed}`,
      resolution,
      instrumentId,
      fromTo: start === null ? null : { start: start.value, end: draft.value },
    });
    setDraft(null);
    setStart(null);
    setKept(kept + 1);
  };
  return (
    <li className="checks-place">
      <form
        className="checks-place-form"
        aria-label={title}
        onSubmit={(event) => {
          event.preventDefault();
          keep();
        }}
      >
        {isPoured(quantity) ? (
          <NumberField
            key={`start ${kept}`}
            label={`${title}: scale at the start`}
            isLabelHidden
            hint="at the start; empty: from zero"
            kind={numberKind(quantity)}
            unit={quantity.unit}
            decimals={4}
            value={null}
            lower={0}
            upper={quantity.upper}
            {...lastEnd(place, preferences)}
            onValidity={(isUsable) => {
              if (!isUsable) setStart(null);
            }}
            onChange={(typed, text) => setStart(typed === null ? null : { value: typed, text })}
          />
        ) : null}
        <NumberField
          // A fresh field for each reading; the focus stays where the hand is.
          key={kept}
          label={position.title === '' ? quantity.title : sentenceCase(position.title)}
          isLabelHidden={position.title === ''}
          kind={numberKind(quantity)}
          unit={quantity.unit}
          decimals={4}
          value={null}
          lower={quantity.lower + (start?.value ?? 0)}
          upper={quantity.upper + (start?.value ?? 0)}
          {...(isPoured(quantity) ? { hint: 'at the end' } : {})}
          autoFocus={kept > 0}
          {...(quantity.instruments.includes('feeler_gauges') ? { suggestions: blades(preferences) } : {})}
          onValidity={(isUsable) => {
            if (!isUsable) setDraft(null);
          }}
          onChange={(typed, text) => setDraft(typed === null ? null : { value: typed, text })}
        />
        <button type="submit" className="button button-plain" disabled={!isPossible} aria-label={`Keep: ${title}`}>
          Keep
        </button>
      </form>
      <div className="checks-readings">
        <span className="checks-mean">
          {value === null ? (
            <span className="muted">open</span>
          ) : (
            <>
              <strong>{figureText(value.value, quantity.unit, decimals, preferences)}</strong>{' '}
              <span className="muted">± {expandedText(value, quantity.unit, decimals, preferences)}</span>
            </>
          )}
          {usable.length > 0 && usable.length < quantity.repeats ? (
            <span className="small muted">
              {' '}
              {usable.length} of {quantity.repeats}
            </span>
          ) : null}
        </span>
        <ReadingChips place={place} openId={openId} onOpen={setOpenId} />
      </div>
      {open === null ? null : <ReadingDetail stamp={open} quantity={quantity} />}
    </li>
  );
}

const sentenceCase = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

function blades(preferences: Preferences): readonly string[] {
  const isInch = preferences.lengthUnit === 'inch';
  return (isInch ? feelerSeriesInch : feelerSeriesMm).map((blade) => {
    const figure = blade.toFixed(isInch ? 4 : 2);
    return preferences.decimalMark === 'comma' ? figure.replace('.', ',') : figure;
  });
}
