import { basename } from 'node:path';
import type { Handlers } from '../../core/contract/dispatch.ts';
import { exportArchive, exportTable } from '../archive/export.ts';
import { importArchive, rehearseImport } from '../archive/import.ts';
import { openArchive, summaryOf } from '../archive/read-archive.ts';
import { listConflicts, logState, settleConflict } from '../database/conflicts.ts';
import { getEditable } from '../database/editable.ts';
import { buildKind } from '../database/kinds.ts';
import type { HandlerDependencies } from './dependencies.ts';
import { plainFileName } from './file-names.ts';
import { diskFailure, type ExchangeFiles } from './files.ts';
import type { WorkList } from './work-list.ts';

type ExchangeMessages =
  | `exchange.${'export' | 'table' | 'state' | 'inspect' | 'rehearse' | 'import'}`
  | `upload.${'begin' | 'append' | 'drop'}`
  | 'download.read'
  | `conflict.${'list' | 'settle'}`;

export function exchangeHandlers(
  deps: HandlerDependencies,
  files: ExchangeFiles,
  works: WorkList,
): Pick<Handlers, ExchangeMessages> {
  return {
    async 'exchange.export'({ scope, buildIds, since, includeCustomers, workId }) {
      const book = deps.books.book();
      const madeAt = new Date().toISOString();
      const first = buildIds[0];
      const title = scope === 'build' && first !== undefined ? getEditable(book.read, buildKind, first).title : scope;
      const { exportId, path } = files.newExport(`${plainFileName(title, scope)} ${madeAt.slice(0, 10)}.portsight.zip`);
      const request = { scope, buildIds, since, includeCustomers };
      const context = { bookPath: book.database.name, target: path, workplace: book.workplace, madeAt };
      const sizeBytes = await works
        .run(workId, (work) => exportArchive(request, { ...context, programVersion: deps.version, work }))
        .catch((error: unknown) => {
          throw diskFailure(error);
        });
      return { exportId, fileName: basename(path), path, sizeBytes };
    },
    async 'exchange.table'({ buildIds, workId }) {
      const book = deps.books.book();
      const first = buildIds[0];
      const title = first === undefined ? 'book' : getEditable(book.read, buildKind, first).title;
      const { exportId, path } = files.newExport(
        `${plainFileName(title, 'book')} readings ${new Date().toISOString().slice(0, 10)}.csv`,
      );
      const sizeBytes = await works
        .run(workId, (work) => exportTable(book.database.name, path, buildIds, work))
        .catch((error: unknown) => {
          throw diskFailure(error);
        });
      return { exportId, fileName: basename(path), path, sizeBytes };
    },
    async 'exchange.state'() {
      return logState(deps.books.book().read);
    },
    async 'exchange.inspect'({ uploadId }) {
      const archive = openArchive(files.uploaded(uploadId));
      try {
        return summaryOf(archive.manifest);
      } finally {
        archive.close();
      }
    },
    async 'exchange.rehearse'({ uploadId, workId }) {
      const path = files.uploaded(uploadId);
      return works.run(workId, (work) => deps.books.alone(async () => rehearseImport(path, deps.books.book(), work)));
    },
    async 'exchange.import'({ uploadId, workId }) {
      const path = files.uploaded(uploadId);
      const report = await works.run(workId, (work) =>
        deps.books.alone(async () => importArchive(path, deps.books.book(), work)),
      );
      files.dropUpload(uploadId);
      deps.announce({ topic: 'book_changed' });
      return report;
    },
    async 'upload.begin'({ sizeBytes }) {
      return { uploadId: files.beginUpload(sizeBytes) };
    },
    async 'upload.append'({ uploadId, offset, bytes }) {
      return { receivedBytes: files.append(uploadId, offset, Buffer.from(bytes, 'base64')) };
    },
    async 'upload.drop'({ uploadId }) {
      files.dropUpload(uploadId);
      return {};
    },
    async 'download.read'({ exportId, offset }) {
      const { bytes, isLast } = files.readPiece(exportId, offset);
      return { bytes: bytes.toString('base64'), isLast };
    },
    async 'conflict.list'() {
      return listConflicts(deps.books.book().read);
    },
    async 'conflict.settle'({ id, keep }) {
      deps.books.book().write((writer) => settleConflict(writer, id, keep));
      deps.announce({ topic: 'book_changed' });
      return {};
    },
  };
}
