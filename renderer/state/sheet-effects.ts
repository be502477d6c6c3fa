import type { Client } from '../../core/contract/client.ts';
import type { InputOf, OutputOf, Sheet } from '../../core/contract/messages.ts';
import { fromBase64 } from './bytes-text.ts';
import { saveFile } from './file-transfer.ts';

interface SheetToKeep {
  readonly mockUpId: string;
  readonly kind: string;
  readonly title: string;
  readonly html: string;
  /** What the page was drawn from. */
  readonly snapshot: unknown;
}

/** Keeps a page; where the same page is the latest one kept already, that one is used. */
export async function keepSheet(
  client: Client,
  { mockUpId, kind, title, html, snapshot }: SheetToKeep,
): Promise<Sheet> {
  const latest = (await client.call('sheet.list', { mockUpId })).toSorted((a, b) =>
    a.createdAt < b.createdAt ? 1 : -1,
  )[0];
  if (latest !== undefined) {
    const known = await client.call('sheet.get', { id: latest.id });
    if (known.html === html) return known.sheet;
  }
  return client.call('sheet.keep', {
    mockUpId,
    kind,
    title: title.slice(0, 200),
    html,
    // A plain copy: what is kept must not share anything with the page's state.
    snapshot: JSON.parse(JSON.stringify(snapshot)),
  });
}

/** Has the host make the PDF of a kept sheet and hands it to the browser's downloads. @returns its file name */
export async function savePdf(client: Client, sheet: Sheet): Promise<string> {
  return handOver(await client.call('sheet.pdf', { id: sheet.id }));
}

/** Has the host draw a degree wheel and hands it to the browser's downloads. @returns its file name */
export async function saveWheelSheet(client: Client, wishes: InputOf<'wheelSheet.make'>): Promise<string> {
  return handOver(await client.call('wheelSheet.make', wishes));
}

function handOver({ fileName, bytes }: OutputOf<'sheet.pdf'>): string {
  saveFile(fileName, new Blob([fromBase64(bytes)], { type: 'application/pdf' }));
  return fileName;
}
