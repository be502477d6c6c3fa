import './exchange.css';
import { BookBar } from '../../parts/book-bar.tsx';
import { ChangesPanel } from './changes-panel.tsx';
import { ConflictList } from './conflict-list.tsx';
import { CsvImport } from './csv-import.tsx';
import { ExportPanel } from './export-panel.tsx';
import { ImportPanel } from './import-panel.tsx';

/** Out of this book and into it: archives, tables, what changed since, and what both sides changed. */
export function ExchangeScreen() {
  return (
    <div className="desk">
      <BookBar place="exchange" />
      <h1>Exchange</h1>
      <ConflictList />
      <div className="exchange-columns">
        <ExportPanel />
        <ImportPanel />
      </div>
      <ChangesPanel />
      <CsvImport />
    </div>
  );
}
