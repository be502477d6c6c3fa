import { useEffect, useId, useRef, useState } from 'react';
import { usePreferences } from '../state/services.ts';
import { type FieldKind, readTypedNumber, unitsThatFit, writeNumber } from './typed-number.ts';
import { millimetresPerUnit, writtenUnit } from './unit-words.ts';

export interface NumberFieldProps {
  readonly label: string;
  readonly kind: FieldKind;
  /** In mm, deg, cm3 or the plain unit; null while nothing usable stands in the field. */
  readonly value: number | null;
  /** Called with null when the field was emptied; not called while the text can't be read. */
  readonly onChange: (value: number | null, typedText: string) => void;
  /** Told whether the text in the field counts, so that a form can wait. */
  readonly onValidity?: (isUsable: boolean) => void;
  readonly lower?: number;
  readonly upper?: number;
  /** Limits themselves not allowed. */
  readonly isLowerExcluded?: boolean;
  readonly unit?: string;
  readonly decimals?: number;
  readonly isRequired?: boolean;
  /** A sentence from core about this field; replaces the own one. */
  readonly error?: string | null;
  readonly hint?: string;
  readonly isDisabled?: boolean;
  readonly isLabelHidden?: boolean;
  readonly autoFocus?: boolean;
  /** Offered while typing, as they would be typed. */
  readonly suggestions?: readonly string[];
}

/** A number with its unit. Keeps what was typed, shows what it means, and says the allowed range when it doesn't fit. */
export function NumberField(props: NumberFieldProps) {
  const preferences = usePreferences();
  const id = useId();
  const input = useRef<HTMLInputElement>(null);
  const shownUnit =
    props.kind === 'length' ? (preferences.lengthUnit === 'inch' ? 'in' : 'mm') : (props.unit ?? baseUnit(props.kind));
  const factor = props.kind === 'length' ? (millimetresPerUnit[shownUnit] ?? 1) : 1;
  const decimals = (props.decimals ?? 3) + (shownUnit === 'in' ? 1 : 0);
  const write = (value: number | null) =>
    value === null ? '' : writeNumber(value / factor, decimals, preferences.decimalMark);
  const [text, setText] = useState(() => write(props.value));
  const [isTouched, setTouched] = useState(false);
  const reading = text.trim() === '' ? null : readTypedNumber(text, props.kind, readingUnit(props.kind, shownUnit));
  const own = ownError(reading, props, (value) => `${write(value)} ${shownUnit}`.trim());

  // Follows a value that changed elsewhere (undo, a reload), but never rewrites what the person is typing.
  const usable = reading?.ok === true ? reading.value : null;
  const latestWrite = write(props.value);
  useEffect(() => {
    if (document.activeElement === input.current) return;
    if (usable !== props.value) setText(latestWrite);
  }, [props.value, latestWrite, usable]);

  const error = props.error ?? (isTouched ? own : null);
  const meaning =
    reading?.ok === true && reading.unitWasTyped && reading.unit !== shownUnit
      ? `= ${write(reading.value)} ${shownUnit}`
      : null;
  const described = [error !== null ? `${id}-error` : '', props.hint !== undefined ? `${id}-hint` : '']
    .join(' ')
    .trim();
  return (
    <div className="field" data-invalid={error !== null}>
      <label htmlFor={id} className={props.isLabelHidden === true ? 'visually-hidden' : undefined}>
        {props.label}
        {props.isRequired === true ? null : <span className="visually-hidden"> (may stay empty)</span>}
      </label>
      <div className="field-box">
        <input
          id={id}
          ref={input}
          type="text"
          inputMode="decimal"
          autoComplete="off"
          spellCheck={false}
          value={text}
          disabled={props.isDisabled}
          required={props.isRequired}
          // biome-ignore lint/a11y/noAutofocus: only the first field of a step asks for it, after the person opened the step
          autoFocus={props.autoFocus}
          list={props.suggestions === undefined ? undefined : `${id}-list`}
          aria-invalid={error !== null}
          aria-describedby={described === '' ? undefined : described}
          onChange={(event) => {
            const typed = event.target.value;
            setText(typed);
            const now =
              typed.trim() === '' ? null : readTypedNumber(typed, props.kind, readingUnit(props.kind, shownUnit));
            const problem = ownError(now, props, String);
            props.onValidity?.(problem === null);
            if (problem === null) props.onChange(now?.ok === true ? now.value : null, typed);
          }}
          onBlur={() => setTouched(true)}
        />
        <span className="field-unit">{writtenUnit(shownUnit)}</span>
      </div>
      {props.suggestions === undefined ? null : (
        <datalist id={`${id}-list`}>
          {props.suggestions.map((suggestion) => (
            <option key={suggestion} value={suggestion} />
          ))}
        </datalist>
      )}
      {meaning !== null && error === null ? <p className="field-meaning">{meaning}</p> : null}
      {error !== null ? (
        <p className="field-error" id={`${id}-error`} role="alert">
          {error}
        </p>
      ) : props.hint !== undefined ? (
        <p className="field-hint" id={`${id}-hint`}>
          {props.hint}
        </p>
      ) : null}
    </div>
  );
}

function ownError(
  reading: ReturnType<typeof readTypedNumber> | null,
  props: NumberFieldProps,
  write: (value: number) => string,
): string | null {
  if (reading === null) return props.isRequired === true ? `${props.label} is needed.` : null;
  if (!reading.ok) return reading.reason;
  const { lower, upper } = props;
  const isLow = (value: number) =>
    lower !== undefined && (props.isLowerExcluded === true ? value <= lower : value < lower);
  const isPossible = (value: number) => !isLow(value) && (upper === undefined || value <= upper);
  if (isPossible(reading.value)) return null;
  const from =
    lower === undefined ? '' : `${props.isLowerExcluded === true ? 'more than' : 'at least'} ${write(lower)}`;
  const to = upper === undefined ? '' : `at most ${write(upper)}`;
  const others = unitsThatFit(reading, props.kind, isPossible);
  const asked =
    others.length === 0 ? '' : ` Did you mean ${others.join(' or ')}? Then write the unit behind the number.`;
  return `${props.label}: ${write(reading.value)} is outside what is possible: ${[from, to].filter((part) => part !== '').join(', ')}.${asked}`;
}

function baseUnit(kind: FieldKind): string {
  switch (kind) {
    case 'length':
      return 'mm';
    case 'angle':
      return 'deg';
    case 'volume':
      return 'cm3';
    case 'plain':
      return '';
  }
}

/** A plain field may show a unit (rev/min) that nobody types. */
function readingUnit(kind: FieldKind, shownUnit: string): string {
  return kind === 'plain' ? '' : shownUnit;
}
