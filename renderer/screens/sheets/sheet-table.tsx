import type { SheetTable } from './sheet-data.ts';

/** A table of text; the first column names the row, all others are numbers. */
export function TableOfSheet({ table }: { table: SheetTable }) {
  return (
    <section>
      <h2>{table.title}</h2>
      <table>
        <thead>
          <tr>
            {table.columns.map((column, index) => (
              <th key={column} scope="col" className={index === 0 ? undefined : 'number'}>
                {column}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {table.rows.map((row) => (
            <tr key={row[0]}>
              {row.map((text, index) => (
                <td key={table.columns[index]} className={index === 0 ? undefined : 'number'}>
                  {text}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}
