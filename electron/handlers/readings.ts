import type { Handlers } from '../../core/contract/dispatch.ts';
import { getPicture, keepPicture } from '../database/pictures.ts';
import { addReading, markReadings, mockUpsOf } from '../database/readings.ts';
import { createSetup, readerStateOf, updateSetup } from '../database/setups.ts';
import type { HandlerDependencies } from './dependencies.ts';

type ReadingMessages =
  | 'reading.add'
  | 'reading.mark'
  | 'picture.get'
  | 'setup.create'
  | 'setup.update'
  | 'setup.readerState';

export function readingHandlers(deps: HandlerDependencies): Pick<Handlers, ReadingMessages> {
  return {
    /** Picture and reading go in one transaction: there is no stamp without its evidence. */
    async 'reading.add'({ reading, pictures }) {
      const stored = deps.books.book().write((writer) => {
        for (const picture of pictures) keepPicture(writer, picture);
        return addReading(writer, reading);
      });
      deps.announce({ topic: 'mock_up_changed', id: stored.mockUpId });
      return stored;
    },
    async 'reading.mark'({ readingIds, mark, reason }) {
      const book = deps.books.book();
      const marks = book.write((writer) => markReadings(writer, readingIds, mark, reason));
      for (const id of mockUpsOf(book.read, readingIds)) deps.announce({ topic: 'mock_up_changed', id });
      deps.announce({ topic: 'book_changed' });
      return marks;
    },
    async 'picture.get'({ id }) {
      return getPicture(deps.books.book().read, id);
    },
    async 'setup.create'({ id, content, readerState, pictures }) {
      const stored = deps.books.book().write((writer) => {
        for (const picture of pictures) keepPicture(writer, picture);
        return createSetup(writer, id, content, readerState);
      });
      deps.announce({ topic: 'mock_up_changed', id: stored.mockUpId });
      return stored;
    },
    async 'setup.update'({ id, content, readerState }) {
      const stored = deps.books.book().write((writer) => updateSetup(writer, id, content, readerState));
      deps.announce({ topic: 'mock_up_changed', id: stored.mockUpId });
      return stored;
    },
    async 'setup.readerState'({ id }) {
      return { readerState: readerStateOf(deps.books.book().read, id) };
    },
  };
}
