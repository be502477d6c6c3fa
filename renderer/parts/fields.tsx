import { useId } from 'react';

interface TextFieldProps {
  readonly label: string;
  readonly value: string;
  readonly onChange: (value: string) => void;
  readonly error?: string | null;
  readonly hint?: string;
  readonly isRequired?: boolean;
  readonly isMultiline?: boolean;
  readonly isLabelHidden?: boolean;
  readonly placeholder?: string;
  readonly autoFocus?: boolean;
  readonly list?: readonly string[];
}

export function TextField(props: TextFieldProps) {
  const id = useId();
  const error = props.error ?? null;
  const common = {
    id,
    value: props.value,
    placeholder: props.placeholder,
    required: props.isRequired,
    'aria-invalid': error !== null,
    'aria-describedby': error !== null || props.hint !== undefined ? `${id}-note` : undefined,
  };
  return (
    <div className="field" data-invalid={error !== null}>
      <label htmlFor={id} className={props.isLabelHidden === true ? 'visually-hidden' : undefined}>
        {props.label}
      </label>
      <div className="field-box">
        {props.isMultiline === true ? (
          <textarea {...common} rows={3} onChange={(event) => props.onChange(event.target.value)} />
        ) : (
          <input
            {...common}
            type="text"
            list={props.list === undefined ? undefined : `${id}-list`}
            // biome-ignore lint/a11y/noAutofocus: only the first field of a step asks for it, after the person opened the step
            autoFocus={props.autoFocus}
            onChange={(event) => props.onChange(event.target.value)}
          />
        )}
      </div>
      {props.list === undefined ? null : (
        <datalist id={`${id}-list`}>
          {props.list.map((item) => (
            <option key={item} value={item} />
          ))}
        </datalist>
      )}
      {error !== null ? (
        <p className="field-error" id={`${id}-note`} role="alert">
          {error}
        </p>
      ) : props.hint !== undefined ? (
        <p className="field-hint" id={`${id}-note`}>
          {props.hint}
        </p>
      ) : null}
    </div>
  );
}

interface ChoiceFieldProps<T extends string> {
  readonly label: string;
  readonly value: T;
  readonly choices: readonly { readonly value: T; readonly title: string }[];
  readonly onChange: (value: T) => void;
  readonly isLabelHidden?: boolean;
  readonly hint?: string;
  readonly isDisabled?: boolean;
}

/** One of a closed set, as a list to open. */
export function ChoiceField<T extends string>(props: ChoiceFieldProps<T>) {
  const id = useId();
  return (
    <div className="field">
      <label htmlFor={id} className={props.isLabelHidden === true ? 'visually-hidden' : undefined}>
        {props.label}
      </label>
      <div className="field-box">
        <select
          id={id}
          value={props.value}
          disabled={props.isDisabled}
          onChange={(event) => {
            const chosen = props.choices.find((choice) => choice.value === event.target.value);
            if (chosen !== undefined) props.onChange(chosen.value);
          }}
        >
          {props.choices.map((choice) => (
            <option key={choice.value} value={choice.value}>
              {choice.title}
            </option>
          ))}
        </select>
      </div>
      {props.hint === undefined ? null : <p className="field-hint">{props.hint}</p>}
    </div>
  );
}

interface TickFieldProps {
  readonly label: string;
  readonly isOn: boolean;
  readonly onChange: (isOn: boolean) => void;
}

export function TickField(props: TickFieldProps) {
  return (
    <label className="tick-field">
      <input type="checkbox" checked={props.isOn} onChange={(event) => props.onChange(event.target.checked)} />
      <span>{props.label}</span>
    </label>
  );
}
