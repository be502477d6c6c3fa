import type { Handlers } from '../../core/contract/dispatch.ts';
import { EnvironmentError } from '../../core/errors.ts';
import { checkSheetHtml } from '../database/sheet-html.ts';
import { getSheet, keepSheet, listSheets } from '../database/sheets.ts';
import type { HandlerDependencies } from './dependencies.ts';
import { plainFileName } from './file-names.ts';

type SheetMessages = `sheet.${'keep' | 'list' | 'get' | 'pdf'}`;

/** File name that every platform accepts. */
export function pdfFileName(title: string, createdAt: string): string {
  return `${plainFileName(title, 'sheet')} ${createdAt.slice(0, 10)}.pdf`;
}

export function sheetHandlers(deps: HandlerDependencies): Pick<Handlers, SheetMessages> {
  return {
    async 'sheet.keep'({ snapshot, ...sheet }) {
      checkSheetHtml(sheet.html);
      return deps.books.book().write((writer) => keepSheet(writer, { ...sheet, snapshot: JSON.stringify(snapshot) }));
    },
    async 'sheet.list'({ mockUpId }) {
      return listSheets(deps.books.book().read, mockUpId);
    },
    async 'sheet.get'({ id }) {
      const { sheet, html, snapshot } = getSheet(deps.books.book().read, id);
      return { sheet, html, snapshot: JSON.parse(snapshot) };
    },
    async 'sheet.pdf'({ id }) {
      const { sheet, html } = getSheet(deps.books.book().read, id);
      if (deps.printPdf === null) {
        throw new EnvironmentError(
          'no_pdf_printer',
          'No Chromium, Chrome or Edge was found to make a PDF with.',
          "Use the browser's own print dialog and choose to save as PDF.",
        );
      }
      const bytes = await deps.printPdf(html);
      return { fileName: pdfFileName(sheet.title, sheet.createdAt), bytes: Buffer.from(bytes).toString('base64') };
    },
  };
}
