import { TimingDial } from '../../drawings/timing-dial.tsx';
import { VerdictMark, verdictWords } from '../../parts/verdict.tsx';
import type { TimingSheetData } from './sheet-data.ts';
import { Facts, Sentences, SheetPage } from './sheet-page.tsx';

/** Rows of events and results that one page holds beside a drawing that can still be read. */
const mostRowsOnOnePage = { A4: 15, Letter: 11 } as const;
/** Width of the drawing where the tables are empty, and what each row of them takes from it. */
const widestDialMm = { A4: 190, Letter: 168 } as const;
const dialMmPerRow = 3;

/** For customer and scrutineer: what was found, how sure, against which limits, by which method. One page, or two where many ports need them. */
export function TimingSheet({ data }: { data: TimingSheetData }) {
  const rows = data.events.length + data.results.length;
  const isOnePage = rows <= mostRowsOnOnePage[data.paper];
  const rowsUnderDial = isOnePage ? rows : data.events.length;
  const widthMm = Math.max(118, Math.min(168, widestDialMm[data.paper] - rowsUnderDial * dialMmPerRow));
  const found = (
    <>
      <div className="sheet-drawing">
        <TimingDial data={data.diagram} title="Timing diagram" printedWidth={`${widthMm}mm`} />
      </div>
      <Events data={data} />
    </>
  );
  const judged = (
    <>
      <Results data={data} />
      <div className="sheet-columns">
        <section>
          <h2>Engine</h2>
          <Facts facts={data.engine} />
        </section>
        <section>
          <h2>Mock-up</h2>
          <Facts facts={data.mockUp} />
        </section>
      </div>
      <div className="sheet-columns">
        <Sentences title="Method" sentences={data.method} />
        <Sentences title="Cautions" sentences={data.cautions} />
      </div>
    </>
  );
  const signature = 'Measured and signed, date';
  if (isOnePage) {
    return (
      <SheetPage data={data} signature={signature}>
        {found}
        {judged}
      </SheetPage>
    );
  }
  return (
    <>
      <SheetPage data={data} page="page 1 of 2" signature={signature}>
        {found}
      </SheetPage>
      <SheetPage data={data} page="page 2 of 2" signature={signature}>
        {judged}
      </SheetPage>
    </>
  );
}

function Events({ data }: { data: TimingSheetData }) {
  return (
    <section>
      <h2>Events, degrees of crank angle</h2>
      <table>
        <thead>
          <tr>
            <th scope="col">Event</th>
            <th scope="col" className="number">
              Turning forwards
            </th>
            <th scope="col" className="number">
              Turning backwards
            </th>
            <th scope="col" className="number">
              Difference
            </th>
            <th scope="col" className="number">
              Result
            </th>
            <th scope="col" className="number">
              U (k = 2)
            </th>
            <th scope="col" className="number">
              Readings
            </th>
          </tr>
        </thead>
        <tbody>
          {data.events.map((event) => (
            <tr key={event.event}>
              <td>{event.event}</td>
              <td className="number">{event.forwards}</td>
              <td className="number">{event.backwards}</td>
              <td className="number">{event.difference}</td>
              <td className="number strong">{event.result}</td>
              <td className="number">{event.expanded}</td>
              <td className="number">{event.readings}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

function Results({ data }: { data: TimingSheetData }) {
  return (
    <section>
      <h2>Durations and blowdown, and all that has limits</h2>
      <table>
        <thead>
          <tr>
            <th scope="col">Quantity</th>
            <th scope="col" className="number">
              Result
            </th>
            <th scope="col" className="number">
              U (k = 2)
            </th>
            <th scope="col">Limits and their source</th>
            <th scope="col">Verdict</th>
          </tr>
        </thead>
        <tbody>
          {data.results.map((result) => (
            <tr key={result.quantity}>
              <td>{result.quantity}</td>
              <td className="number strong">{result.value}</td>
              <td className="number">{result.expanded}</td>
              <td>{result.limits}</td>
              <td className="sheet-verdict">
                <VerdictMark kind={result.verdict} />
                {verdictWords[result.verdict]}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
