import type { PortKind } from '../../core/contract/parts.ts';
import { familyOf } from '../parts/port-words.ts';
import { dashArray, lineStyleOf } from './line-styles.ts';

/** A short piece of the line in which drawings show a kind of port. */
export function LineSample({ kind }: { kind: PortKind }) {
  const style = lineStyleOf(kind);
  return (
    <svg className="drawing line-sample" viewBox="0 0 20 6" width="30" height="9" aria-hidden="true">
      <line
        className={`span span-${familyOf(kind)}`}
        x1="0.5"
        x2="19.5"
        y1="3"
        y2="3"
        strokeWidth="3"
        strokeDasharray={dashArray(style, 2)}
      />
      {style.isDouble ? <line className="span-gap" x1="0" x2="20" y1="3" y2="3" strokeWidth="1.1" /> : null}
    </svg>
  );
}
