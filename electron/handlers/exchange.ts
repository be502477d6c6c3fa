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

type ExchangeMessages =
  | `exchange.${'export' | 'table' | 'state' | 'inspect' | 'rehearse' | 'import'}`
  | `upload.${'begin' | 'append'}`
  | 'download.read'
  | `conflict.${'list' | 'settle'}`;

export function exchangeHandlers(deps: HandlerDependencies, files: ExchangeFiles): Pick<Handlers, ExchangeMessages> {
  return {
    async 'exchange.export'({ scope, buildIds, since, includeCustomers }) {
      const book = deps.books.book();
      const madeAt = new Date().toISOString();
      const first = buildIds[0];
      const title = scope === 'build' && first !== undefined ? getEditable(book.read, buildKind, first).title : scope;
      const { exportId, path } = files.newExport(`${plainFileName(title, scope)} ${madeAt.slice(0, 10)}.portsight.zip`);
      const sizeBytes = await exportArchive(
        { scope, buildIds, since, includeCustomers },
        { bookPath: book.database.name, target: path, workplace: book.workplace, programVersion: deps.version, madeAt },
      ).catch((error: unknown) => {
        throw diskFailure(error);
      });
      return { exportId, fileName: basename(path), path, sizeBytes };
    },
    async 'exchange.table'({ buildIds }) {
      const book = deps.books.book();
      const first = buildIds[0];
      const title = first === undefined ? 'book' : getEditable(book.read, buildKind, first).title;
      const { exportId, path } = files.newExport(
        `${plainFileName(title, 'book')} readings ${new Date().toISOString().slice(0, 10)}.csv`,
      );
      try {
        return { exportId, fileName: basename(path), path, sizeBytes: exportTable(book.database.name, path, buildIds) };
      } catch (error) {
        throw diskFailure(error);
      }
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
    async 'exchange.rehearse'({ uploadId }) {
      return rehearseImport(files.uploaded(uploadId), deps.books.book());
    },
    async 'exchange.import'({ uploadId }) {
      const report = importArchive(files.uploaded(uploadId), deps.books.book());
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
