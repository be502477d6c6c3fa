import { useState } from 'react';
import type { OutputOf } from '../../../core/contract/messages.ts';
import { Button } from '../../parts/controls.tsx';
import { useMockUpState } from '../../state/services.ts';
import { sheetChanges, storedSince, versionIn } from './sheet-changes.ts';
import type { SheetData } from './sheet-data.ts';

interface SincePrintedProps {
  readonly shown: OutputOf<'sheet.get'>;
  /** The same sheet drawn now, or the sentence why it can't be. */
  readonly now: SheetData | string | null;
  readonly version: string;
}

/** What the same sheet would say differently if it were drawn now, and what may be the cause. */
export function SincePrinted({ shown, now, version }: SincePrintedProps) {
  const { whole } = useMockUpState();
  const [isOpen, setOpen] = useState(false);
  if (whole === null || now === null) return null;
  if (typeof now === 'string') {
    return <p className="muted small">It can't be compared with one drawn now: {now}</p>;
  }
  const changes = sheetChanges(shown.snapshot, now);
  const since = storedSince(whole, shown.sheet.createdAt);
  if (changes.length === 0) {
    return <p className="small">Drawn now, it would say the same in every figure and line.</p>;
  }
  return (
    <section className="panel stack since-printed" aria-label="What changed since it was printed">
      <div className="row spread">
        <h2>What changed since it was printed: {changes.length}</h2>
        <Button look="quiet" isPressed={isOpen} onPress={() => setOpen(!isOpen)}>
          {isOpen ? 'Hide' : 'Show'}
        </Button>
      </div>
      <p className="small">{causes(since.readings, since.marks, versionIn(shown.snapshot), version)}</p>
      {isOpen ? (
        <div className="table-scroll">
          <table className="table">
            <caption className="visually-hidden">Texts of the sheet, then and now</caption>
            <thead>
              <tr>
                <th scope="col">What</th>
                <th scope="col">On the kept sheet</th>
                <th scope="col">Drawn now</th>
              </tr>
            </thead>
            <tbody>
              {changes.map((change) => (
                <tr key={change.what}>
                  <th scope="row">{change.what}</th>
                  <td>{change.printed ?? 'not there'}</td>
                  <td>{change.now ?? 'not there'}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      ) : null}
    </section>
  );
}

function causes(readings: number, marks: number, drawnBy: string | null, version: string): string {
  const stored =
    readings + marks === 0
      ? 'No reading and no mark was stored since'
      : `Stored since: ${readings} ${readings === 1 ? 'reading' : 'readings'}, ${marks} ${marks === 1 ? 'mark' : 'marks'} on readings`;
  const program =
    drawnBy === null
      ? ''
      : drawnBy === version
        ? `; the program is the same, ${version}`
        : `; it was drawn by Portsight ${drawnBy}, this is ${version}: its formulas or wording may differ`;
  const parts =
    readings + marks === 0 && drawnBy === version ? '. A part, a limit, the job or a preference was changed' : '';
  return `${stored}${program}${parts}. The kept sheet itself is printed as it was.`;
}
