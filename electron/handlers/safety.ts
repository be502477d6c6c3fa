import { rmSync } from 'node:fs';
import { basename, dirname } from 'node:path';
import type { Handlers } from '../../core/contract/dispatch.ts';
import { checkAside } from '../database/aside.ts';
import { backupFolder, backupPath, fetchBackup, listBackups, makeBackup, setBookAside } from '../database/backup.ts';
import { checkRows } from '../database/check-rows.ts';
import { salvageBook } from '../database/salvage.ts';
import type { Work } from '../database/work.ts';
import { renewWorkplace } from '../database/workplace.ts';
import { bookTrouble } from './book-trouble.ts';
import type { HandlerDependencies } from './dependencies.ts';
import { diskFailure, type ExchangeFiles } from './files.ts';
import { writeHelpBundle } from './help-bundle.ts';
import type { WorkList } from './work-list.ts';

type SafetyMessages =
  | `backup.${'list' | 'make' | 'restore' | 'remove'}`
  | 'book.salvage'
  | 'book.check'
  | 'book.reopen'
  | 'help.bundle';

export function safetyHandlers(
  deps: HandlerDependencies,
  files: ExchangeFiles,
  works: WorkList,
): Pick<Handlers, SafetyMessages> {
  const { books } = deps;
  async function findings(work: Work): Promise<string[]> {
    const problem = books.problem();
    if (problem !== null) return [problem.message];
    const book = books.book();
    work.report('Looking through every page of the file; stamping can go on', null);
    const found = await checkAside(book.database.name, work);
    return [...found, ...(await checkRows(book.read, work))];
  }
  return {
    async 'backup.list'() {
      return { folder: backupFolder(books.path), backups: listBackups(books.path) };
    },
    async 'backup.make'({ workId }) {
      return works.run(workId, (work) => makeBackup(books.book().database, books.path, 'by_hand', { work }));
    },
    /** The book as it was becomes a backup first, so restoring can be undone in the same way. */
    async 'backup.restore'({ name, workId }) {
      const keptAs = await works.run(workId, (work) => books.alone(() => restore(name, work)));
      deps.announce({ topic: 'book_changed' });
      return { keptAs };
    },
    async 'backup.remove'({ name }) {
      try {
        rmSync(backupPath(books.path, name), { force: true });
      } catch (error) {
        throw diskFailure(error);
      }
      return {};
    },
    async 'book.salvage'({ workId }) {
      return works
        .run(workId, (work) => salvageBook(books.path, { work }))
        .catch((error: unknown) => {
          throw diskFailure(error);
        });
    },
    async 'book.check'({ workId }) {
      const found = await works.run(workId, findings);
      return { isSound: found.length === 0, findings: found };
    },
    async 'book.reopen'() {
      await books.alone(() => books.exchange(async () => {}));
      deps.announce({ topic: 'book_changed' });
      return { bookTrouble: bookTrouble(books) };
    },
    async 'help.bundle'({ includeMeasurements, workId }) {
      return works.run(workId, async (work) => {
        const { exportId, path } = files.newExport(`portsight-help ${new Date().toISOString().slice(0, 10)}.zip`);
        try {
          const found = await findings(work);
          const sizeBytes = await writeHelpBundle(path, { deps, findings: found, includeMeasurements, work });
          return { exportId, fileName: basename(path), path, sizeBytes };
        } catch (error) {
          throw diskFailure(error);
        }
      });
    },
  };

  /** @returns under which name the book as it was is kept */
  async function restore(name: string, work: Work): Promise<string | null> {
    const incoming = await fetchBackup(books.path, name, work);
    try {
      const isWritable = books.problem() === null && books.book().readOnlyReason === null;
      let keptAs = isWritable
        ? (await makeBackup(books.book().database, books.path, 'before_restore', { work })).name
        : null;
      await books.exchange(async () => {
        const aside = keptAs === null ? setBookAside(books.path) : null;
        try {
          incoming.putInPlace();
        } catch (error) {
          aside?.putBack();
          throw diskFailure(error);
        }
        keptAs ??= aside?.name ?? null;
        // The log goes on under a new workplace: numbers given after the backup must not be given twice.
        renewWorkplace(dirname(books.path));
      });
      return keptAs;
    } finally {
      incoming.discard();
    }
  }
}
