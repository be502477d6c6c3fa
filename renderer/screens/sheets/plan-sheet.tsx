import { StackDrawing } from '../../drawings/stack-drawing.tsx';
import { shownSizes } from '../../parts/shown-size.ts';
import { VerdictMark, verdictWords } from '../../parts/verdict.tsx';
import { fillPages, rowLines } from './fill-pages.ts';
import type { PlanSheetData, PlanSheetRow } from './sheet-data.ts';
import { Sentences, SheetPage } from './sheet-page.tsx';

/** Lines that a page has for its table; the last one of the table also holds how to read it. */
const linesOnPage = { A4: 42, Letter: 38 } as const;
const linesOnLastPage = { A4: 37, Letter: 34 } as const;

/** A plan for the bench and the machinist: what it does to every figure, then in which order it is cut. */
export function PlanSheet({ data }: { data: PlanSheetData }) {
  const shown = shownSizes(data.units);
  const pages = fillPages(data.rows, linesOf, linesOnPage[data.paper], linesOnLastPage[data.paper]);
  const count = pages.length + 1;
  return (
    <>
      {pages.map((rows, index) => {
        const page = `page ${index + 1} of ${count}`;
        return (
          <SheetPage key={page} data={data} page={page} signature="Planned and signed, date">
            {index > 0 ? null : <p className="sheet-note">{data.tally}</p>}
            <Effects rows={rows} />
            {index < pages.length - 1 ? null : <Sentences title="How to read it" sentences={data.remarks} />}
          </SheetPage>
        );
      })}
      <SheetPage data={data} page={`page ${count} of ${count}`} signature="Cut and signed, date">
        <div className="sheet-drawing">
          <StackDrawing
            now={data.stack.now}
            planned={data.stack.planned}
            title="The stack, as it stands and as planned"
            lengthText={(valueMm) => shown.length(valueMm)}
            printedWidth="128mm"
          />
        </div>
        <section>
          <h2>Order of the work</h2>
          <ol className="sheet-work">
            {data.work.map(({ text, cautions }) => (
              <li key={text}>
                <strong>{text}</strong>
                <ul>
                  {cautions.map((caution) => (
                    <li key={caution}>{caution}</li>
                  ))}
                </ul>
              </li>
            ))}
            <li>
              <strong>Mock up again before anything is final</strong>
            </li>
          </ol>
        </section>
        <section>
          <h2>Read again after this work</h2>
          <p className="sheet-note">{data.readAgain}</p>
        </section>
        {data.notes === '' ? null : (
          <section>
            <h2>Notes</h2>
            <p className="sheet-note">{data.notes}</p>
          </section>
        )}
        <Sentences title="Cautions" sentences={data.cautions} />
      </SheetPage>
    </>
  );
}

/** Letters that the columns hold on one line. */
const columnLetters = { figure: 32, limits: 19, verdict: 14 };

function linesOf(row: PlanSheetRow): number {
  return rowLines([
    [row.figure, columnLetters.figure],
    [row.limits, columnLetters.limits],
    [verdictText(row), columnLetters.verdict],
  ]);
}

function verdictText({ verdictAfter, verdictBefore, trend }: PlanSheetRow): string {
  if (verdictAfter === 'no_limits') return '';
  const was = verdictBefore === verdictAfter ? '' : ` (was: ${verdictWords[verdictBefore]})`;
  return `${verdictWords[verdictAfter]}${trend === '' ? '' : `, ${trend}`}${was}`;
}

function Effects({ rows }: { rows: readonly PlanSheetRow[] }) {
  return (
    <section>
      <h2>Before and after</h2>
      <table className="sheet-effects">
        <thead>
          <tr>
            <th scope="col">Figure</th>
            <th scope="col" className="number">
              As it stands
            </th>
            <th scope="col" className="number">
              As planned
            </th>
            <th scope="col" className="number">
              Difference
            </th>
            <th scope="col">Limits and their source</th>
            <th scope="col">Verdict as planned</th>
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.figure}>
              <td>{row.figure}</td>
              <td className="number">{row.before}</td>
              <td className="number strong">{row.after}</td>
              <td className="number">{row.difference}</td>
              <td>{row.limits}</td>
              <td className="sheet-verdict">
                {row.verdictAfter === 'no_limits' ? null : <VerdictMark kind={row.verdictAfter} />}
                {verdictText(row)}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
