import type { Id } from '../../core/contract/basics.ts';
import type { PictureContent } from '../../core/contract/messages.ts';
import { logChange } from './change-log.ts';
import type { BookReader, BookWriter } from './connection.ts';
import { idTaken, insertRow, notFound, soundRow } from './rows.ts';

interface PictureRow {
  id: Id;
  mime: PictureContent['mime'];
  width_px: number;
  height_px: number;
  bytes: Buffer;
}

/** Stores a picture once; sending the same one again is answered without a second row. */
export function keepPicture(writer: BookWriter, picture: PictureContent): void {
  const bytes = Buffer.from(picture.bytes, 'base64');
  const known = writer.get<PictureRow>('SELECT * FROM picture WHERE id = ?', picture.id);
  if (known !== undefined) {
    if (!known.bytes.equals(bytes)) throw idTaken('The picture');
    return;
  }
  const { changeId, madeAt } = logChange(writer, { entity: 'picture', rowId: picture.id, action: 'keep' });
  insertRow(writer, 'picture', {
    id: picture.id,
    workplace_id: writer.workplaceId,
    created_at: madeAt,
    mime: picture.mime,
    width_px: picture.widthPx,
    height_px: picture.heightPx,
    change_id: changeId,
    bytes,
  });
}

/** @throws BookError `not_found`, `row_damaged` */
export function getPicture(reader: BookReader, id: Id): PictureContent {
  const row = reader.get<PictureRow>('SELECT * FROM picture WHERE id = ?', id);
  if (row === undefined) throw notFound('The picture');
  soundRow(row, 'The picture');
  return {
    id: row.id,
    mime: row.mime,
    widthPx: row.width_px,
    heightPx: row.height_px,
    bytes: row.bytes.toString('base64'),
  };
}
