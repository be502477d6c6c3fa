import { TimingDial } from '../../drawings/timing-dial.tsx';
import { VerdictMark, verdictWords } from '../../parts/verdict.tsx';
import type { TimingSheetData } from './sheet-data.ts';
import { Facts, Sentences, SheetPage } from './sheet-page.tsx';

/** The one page for customer and scrutineer: what was found, how sure, against which limits, and by which method. */
export function TimingSheet({ data }: { data: TimingSheetData }) {
  return (
    <SheetPage data={data} signature="Measured and signed, date">
      <div className="sheet-drawing">
        <TimingDial data={data.diagram} title="Timing diagram" printedWidth={dialWidth(data)} />
      </div>
      <Events data={data} />
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
    </SheetPage>
  );
}

/** The drawing gives way where many events need the room; its text stays readable down to this width. */
function dialWidth(data: TimingSheetData): string {
  const rows = data.events.length + data.results.length;
  const widthMm = Math.max(118, Math.min(168, 190 - rows * 3));
  return `${widthMm.toFixed(0)}mm`;
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
