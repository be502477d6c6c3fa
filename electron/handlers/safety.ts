import { rmSync } from 'node:fs';
import { basename, dirname } from 'node:path';
import type { Handlers } from '../../core/contract/dispatch.ts';
import { checkAside } from '../database/aside.ts';
import {
  backupFolder,
  backupPath,
  keepDamagedFile,
  listBackups,
  makeBackup,
  putBackupInPlace,
} from '../database/backup.ts';
import { checkRows } from '../database/check-rows.ts';
import { salvageBook } from '../database/salvage.ts';
import { renewWorkplace } from '../database/workplace.ts';
import { bookTrouble } from './book-trouble.ts';
import type { HandlerDependencies } from './dependencies.ts';
import { diskFailure, type ExchangeFiles } from './files.ts';
import { writeHelpBundle } from './help-bundle.ts';

type SafetyMessages =
  | `backup.${'list' | 'make' | 'restore' | 'remove'}`
  | 'book.salvage'
  | 'book.check'
  | 'book.reopen'
  | 'help.bundle';

export function safetyHandlers(deps: HandlerDependencies, files: ExchangeFiles): Pick<Handlers, SafetyMessages> {
  const { books } = deps;
  async function findings(): Promise<string[]> {
    const problem = books.problem();
    if (problem !== null) return [problem.message];
    const book = books.book();
    return [...(await checkAside(book.database.name)), ...(await checkRows(book.read))];
  }
  return {
    async 'backup.list'() {
      return { folder: backupFolder(books.path), backups: listBackups(books.path) };
    },
    async 'backup.make'() {
      return makeBackup(books.book().database, books.path, 'by_hand');
    },
    /** The book as it was becomes a backup first, so restoring can be undone in the same way. */
    async 'backup.restore'({ name }) {
      backupPath(books.path, name);
      let keptAs: string | null = null;
      if (books.problem() === null && books.book().readOnlyReason === null) {
        keptAs = (await makeBackup(books.book().database, books.path, 'before_restore')).name;
      }
      await books.exchange(async () => {
        if (keptAs === null) keptAs = keepDamagedFile(books.path);
        await putBackupInPlace(books.path, name);
        // The log goes on under a new workplace: numbers given after the backup must not be given twice.
        renewWorkplace(dirname(books.path));
      });
      deps.announce({ topic: 'book_changed' });
      return { keptAs };
    },
    async 'backup.remove'({ name }) {
      rmSync(backupPath(books.path, name), { force: true });
      return {};
    },
    async 'book.salvage'() {
      return salvageBook(books.path);
    },
    async 'book.check'() {
      const found = await findings();
      return { isSound: found.length === 0, findings: found };
    },
    async 'book.reopen'() {
      await books.exchange(async () => {});
      deps.announce({ topic: 'book_changed' });
      return { bookTrouble: bookTrouble(books) };
    },
    async 'help.bundle'({ includeMeasurements }) {
      const { exportId, path } = files.newExport(`portsight-help ${new Date().toISOString().slice(0, 10)}.zip`);
      try {
        const sizeBytes = await writeHelpBundle(path, { deps, findings: await findings(), includeMeasurements });
        return { exportId, fileName: basename(path), path, sizeBytes };
      } catch (error) {
        throw diskFailure(error);
      }
    },
  };
}
