import { CheckBar } from '../../drawings/check-bar.tsx';
import { TimingDial } from '../../drawings/timing-dial.tsx';
import { VerdictMark, verdictWords } from '../../parts/verdict.tsx';
import type { SheetFact, TimingSheetData } from './sheet-data.ts';

/** The one page for customer and scrutineer: what was found, how sure, against which limits, and by which method. */
export function TimingSheet({ data }: { data: TimingSheetData }) {
  return (
    <main className="sheet">
      <header className="sheet-head">
        <div>
          <h1>{data.title}</h1>
          <p className="sheet-subtitle">{data.subtitle}</p>
        </div>
        <Facts facts={data.job} />
      </header>
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
      <footer className="sheet-foot">
        <div>
          <CheckBar direction="across" />
          <div className="sheet-made">{data.footer}</div>
        </div>
        <div className="sheet-sign">Measured and signed, date</div>
      </footer>
      <div className="sheet-bar-upright">
        <CheckBar direction="upright" />
      </div>
    </main>
  );
}

/** The drawing gives way where many events need the room; its text stays readable down to this width. */
function dialWidth(data: TimingSheetData): string {
  const rows = data.events.length + data.results.length;
  const widthMm = Math.max(118, Math.min(168, 190 - rows * 3));
  return `${widthMm.toFixed(0)}mm`;
}

function Facts({ facts }: { facts: readonly SheetFact[] }) {
  return (
    <dl>
      {facts.map((fact) => (
        <Fact key={fact.name} fact={fact} />
      ))}
    </dl>
  );
}

function Fact({ fact }: { fact: SheetFact }) {
  return (
    <>
      <dt>{fact.name}</dt>
      <dd>{fact.value}</dd>
    </>
  );
}

function Sentences({ title, sentences }: { title: string; sentences: readonly string[] }) {
  return (
    <section>
      <h2>{title}</h2>
      <ul>
        {sentences.map((sentence) => (
          <li key={sentence}>{sentence}</li>
        ))}
      </ul>
    </section>
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
