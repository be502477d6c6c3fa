import { useEffect, useId, useRef } from 'react';
import { Button } from './controls.tsx';

/** Everything that answers "where does this number come from". */
export interface Origin {
  readonly title: string;
  readonly value: string;
  /** How it follows, in one sentence or a formula. */
  readonly how: string;
  readonly source: string;
  /** Route by which its uncertainty was found: repeats, hysteresis, resolution, Monte Carlo. */
  readonly uncertaintyRoute: string;
  readonly readings: readonly { readonly what: string; readonly value: string; readonly note: string }[];
  readonly contributions: readonly {
    readonly what: string;
    readonly standardUncertainty: string;
    readonly why: string;
  }[];
  readonly remarks: readonly string[];
}

/** Side panel; closed by its button or Escape, and the focus goes back to where it came from. */
export function OriginPanel({ origin, onClose }: { origin: Origin; onClose: () => void }) {
  const titleId = useId();
  const panel = useRef<HTMLElement>(null);
  useEffect(() => {
    const before = document.activeElement;
    panel.current?.focus();
    return () => {
      if (before instanceof HTMLElement) before.focus();
    };
  }, []);
  return (
    <aside
      className="origin-panel"
      aria-labelledby={titleId}
      ref={panel}
      tabIndex={-1}
      onKeyDown={(event) => {
        if (event.key !== 'Escape') return;
        event.stopPropagation();
        event.nativeEvent.stopImmediatePropagation();
        onClose();
      }}
    >
      <div className="row spread">
        <h2 id={titleId}>{origin.title}</h2>
        <Button look="quiet" onPress={onClose} keyHint="Esc">
          Close
        </Button>
      </div>
      <p className="origin-value">{origin.value}</p>
      <h3>How it follows</h3>
      <p>{origin.how}</p>
      {origin.source === '' ? null : <p className="muted small">Source: {origin.source}</p>}
      {origin.readings.length === 0 ? null : (
        <>
          <h3>From these readings</h3>
          <table className="table">
            <tbody>
              {origin.readings.map((reading) => (
                <tr key={`${reading.what} ${reading.value} ${reading.note}`}>
                  <td>{reading.what}</td>
                  <td className="figure">{reading.value}</td>
                  <td className="muted">{reading.note}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </>
      )}
      <h3>Its uncertainty</h3>
      <p>{origin.uncertaintyRoute}</p>
      {origin.contributions.length === 0 ? null : (
        <table className="table">
          <thead>
            <tr>
              <th scope="col">Part</th>
              <th scope="col" className="figure">
                u
              </th>
              <th scope="col">Why</th>
            </tr>
          </thead>
          <tbody>
            {origin.contributions.map((part) => (
              <tr key={part.what}>
                <td>{part.what}</td>
                <td className="figure">{part.standardUncertainty}</td>
                <td className="muted">{part.why}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {origin.remarks.map((remark) => (
        <p key={remark} className="small">
          {remark}
        </p>
      ))}
    </aside>
  );
}
