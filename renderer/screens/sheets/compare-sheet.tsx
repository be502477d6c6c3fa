import { VerdictMark } from '../../parts/verdict.tsx';
import type { CompareSheetData, CompareSheetRow } from './sheet-data.ts';
import { Sentences, SheetPage } from './sheet-page.tsx';

/** Mock-ups side by side on paper. */
export function CompareSheet({ data }: { data: CompareSheetData }) {
  return (
    <>
      {data.pages.map((rows, index) => {
        const page = `page ${index + 1} of ${data.pages.length}`;
        return (
          <SheetPage key={page} data={data} page={page} signature="Compared and signed, date">
            <Rows data={data} rows={rows} />
            {index < data.pages.length - 1 ? null : (
              <div className="sheet-columns">
                <Sentences title="How to read it" sentences={data.method} />
                <Sentences title="Cautions" sentences={data.cautions} />
              </div>
            )}
          </SheetPage>
        );
      })}
    </>
  );
}

function Rows({ data, rows }: { data: CompareSheetData; rows: readonly CompareSheetRow[] }) {
  return (
    <table>
      <thead>
        <tr>
          <th scope="col">Quantity</th>
          {data.columns.map((column) => (
            <th key={column} scope="col" className="number">
              {column}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {rows.map((row) =>
          row.isGroup ? (
            <tr key={row.quantity} className="sheet-step">
              <th scope="rowgroup" colSpan={data.columns.length + 1}>
                {row.quantity}
              </th>
            </tr>
          ) : (
            <tr key={row.quantity}>
              <td>{row.quantity}</td>
              {row.cells.map((cell, index) => (
                <td key={data.columns[index]} className="number">
                  <span className="strong">{cell.value}</span>
                  {cell.verdict === 'no_limits' || cell.verdict === 'not_measured' ? null : (
                    <>
                      {' '}
                      <VerdictMark kind={cell.verdict} />
                    </>
                  )}
                  {cell.difference === '' ? null : <div>{cell.difference}</div>}
                </td>
              ))}
            </tr>
          ),
        )}
      </tbody>
    </table>
  );
}
