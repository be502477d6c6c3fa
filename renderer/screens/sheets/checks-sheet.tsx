import { Fragment } from 'react';
import { VerdictMark, verdictWords } from '../../parts/verdict.tsx';
import type { ChecksSheetData, ChecksSheetStep } from './sheet-data.ts';
import { Sentences, SheetPage } from './sheet-page.tsx';

/** Everything read with hand instruments: step by step, readings, results, limits, verdicts. */
export function ChecksSheet({ data }: { data: ChecksSheetData }) {
  return (
    <>
      {data.pages.map((steps, index) => {
        const page = `page ${index + 1} of ${data.pages.length}`;
        return (
          <SheetPage key={page} data={data} page={page} signature="Measured and signed, date">
            <Steps steps={steps} />
            {index < data.pages.length - 1 ? null : (
              <div className="sheet-columns">
                <Sentences title="Method" sentences={data.method} />
                <Sentences title="Cautions" sentences={data.cautions} />
              </div>
            )}
          </SheetPage>
        );
      })}
    </>
  );
}

function Steps({ steps }: { steps: readonly ChecksSheetStep[] }) {
  return (
    <table className="sheet-checks">
      <thead>
        <tr>
          <th scope="col">Quantity</th>
          <th scope="col">Readings as typed</th>
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
        {steps.map((step) => (
          <Fragment key={step.title}>
            <tr className="sheet-step">
              <th scope="rowgroup" colSpan={6}>
                {step.title} <span className="sheet-step-state">{step.state}</span>
              </th>
            </tr>
            {step.notes.map((note) => (
              <tr key={note}>
                <td colSpan={6}>{note}</td>
              </tr>
            ))}
            {step.rows.map((row) => (
              <tr key={row.quantity}>
                <td>{row.quantity}</td>
                <td>{row.readings}</td>
                <td className="number strong">{row.value}</td>
                <td className="number">{row.expanded}</td>
                <td>{row.limits}</td>
                <td className="sheet-verdict">
                  {row.verdict === 'no_limits' ? null : (
                    <>
                      <VerdictMark kind={row.verdict} />
                      {verdictWords[row.verdict]}
                    </>
                  )}
                </td>
              </tr>
            ))}
          </Fragment>
        ))}
      </tbody>
    </table>
  );
}
