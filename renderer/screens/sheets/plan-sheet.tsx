import { StackDrawing } from '../../drawings/stack-drawing.tsx';
import { shownSizes } from '../../parts/shown-size.ts';
import { VerdictMark, verdictWords } from '../../parts/verdict.tsx';
import type { PlanSheetData, PlanSheetRow } from './sheet-data.ts';
import { Sentences, SheetPage } from './sheet-page.tsx';

/** A plan for the bench and the machinist: what it does to every figure, then in which order it is cut. */
export function PlanSheet({ data }: { data: PlanSheetData }) {
  const shown = shownSizes(data.units);
  return (
    <>
      <SheetPage data={data} page="page 1 of 2" signature="Planned and signed, date">
        <p className="sheet-note">{data.tally}</p>
        <Effects rows={data.rows} />
        <Sentences title="How to read it" sentences={data.remarks} />
      </SheetPage>
      <SheetPage data={data} page="page 2 of 2" signature="Cut and signed, date">
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

function Effects({ rows }: { rows: readonly PlanSheetRow[] }) {
  return (
    <section>
      <h2>Before and after</h2>
      <table>
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
                <VerdictMark kind={row.verdictAfter} />
                {verdictWords[row.verdictAfter]}
                {row.trend === '' ? '' : `, ${row.trend}`}
                {row.verdictBefore === row.verdictAfter ? '' : ` (was: ${verdictWords[row.verdictBefore]})`}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
