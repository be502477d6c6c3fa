import type { WheelScaleKind } from '../../../core/contract/readings.ts';

/** A number under the pointer as it is typed, with what its scale needs besides. */
export interface ScaleNumber {
  readonly text: string;
  readonly side: 'after' | 'before';
  readonly zero: 'first' | 'second';
}

export const emptyScaleNumber: ScaleNumber = { text: '', side: 'after', zero: 'first' };

export function runsBothWays(scale: WheelScaleKind): boolean {
  return scale === '0-180-0' || scale === '0-90-0-90';
}

/** The number under the pointer; on scales that run both ways also its side of the zero, on quarters which zero. */
export function ScaleNumberFields({
  scale,
  value,
  onChange,
}: {
  scale: WheelScaleKind;
  value: ScaleNumber;
  onChange: (value: ScaleNumber) => void;
}) {
  return (
    <>
      {runsBothWays(scale) ? (
        <label className="field">
          Side of the zero
          <select
            value={value.side}
            onChange={(event) => onChange({ ...value, side: event.target.value as ScaleNumber['side'] })}
          >
            <option value="after">after it, turning forwards</option>
            <option value="before">before it</option>
          </select>
        </label>
      ) : null}
      {scale === '0-90-0-90' ? (
        <label className="field">
          Counted from
          <select
            value={value.zero}
            onChange={(event) => onChange({ ...value, zero: event.target.value as ScaleNumber['zero'] })}
          >
            <option value="first">the zero at TDC</option>
            <option value="second">the zero at BDC</option>
          </select>
        </label>
      ) : null}
      <label className="field">
        The pointer shows, degrees
        <input
          value={value.text}
          inputMode="decimal"
          onChange={(event) => onChange({ ...value, text: event.target.value })}
        />
      </label>
    </>
  );
}
