import type { Handlers } from '../../core/contract/dispatch.ts';
import { listBook } from '../database/book-list.ts';
import { createEditable, findEditable, getEditable, listEditable, updateEditable } from '../database/editable.ts';
import { buildKind, customerKind, mockUpKind, partKind } from '../database/kinds.ts';
import { mockUpWhole } from '../database/whole.ts';
import type { HandlerDependencies } from './dependencies.ts';

type BookMessages =
  | 'book.list'
  | `build.${'create' | 'update' | 'whole'}`
  | `customer.${'create' | 'update' | 'list'}`
  | `part.${'create' | 'update' | 'get' | 'list'}`
  | `mockUp.${'create' | 'update' | 'copy' | 'whole' | 'compare' | 'list'}`;

export function bookHandlers(deps: HandlerDependencies): Pick<Handlers, BookMessages> {
  const changed = () => deps.announce({ topic: 'book_changed' });
  return {
    async 'book.list'(input) {
      return listBook(deps.books.book().read, input);
    },
    async 'build.create'(content) {
      const made = deps.books.book().write((writer) => createEditable(writer, buildKind, content));
      changed();
      return made;
    },
    async 'build.update'({ id, content }) {
      const made = deps.books.book().write((writer) => updateEditable(writer, buildKind, id, content));
      changed();
      return made;
    },
    async 'build.whole'({ id }) {
      const { read } = deps.books.book();
      const build = getEditable(read, buildKind, id);
      return {
        build,
        customer: build.customerId === null ? null : findEditable(read, customerKind, build.customerId),
        mockUps: listEditable(read, mockUpKind, 'WHERE build_id = ?', id),
      };
    },
    async 'customer.create'(content) {
      const made = deps.books.book().write((writer) => createEditable(writer, customerKind, content));
      changed();
      return made;
    },
    async 'customer.update'({ id, content }) {
      const made = deps.books.book().write((writer) => updateEditable(writer, customerKind, id, content));
      changed();
      return made;
    },
    async 'customer.list'() {
      return listEditable(deps.books.book().read, customerKind);
    },
    async 'part.create'(content) {
      const made = deps.books.book().write((writer) => createEditable(writer, partKind, content));
      changed();
      return made;
    },
    async 'part.update'({ id, content }) {
      const made = deps.books.book().write((writer) => updateEditable(writer, partKind, id, content));
      changed();
      return made;
    },
    async 'part.get'({ id }) {
      return getEditable(deps.books.book().read, partKind, id);
    },
    async 'part.list'({ kind }) {
      const { read } = deps.books.book();
      return kind === null ? listEditable(read, partKind) : listEditable(read, partKind, 'WHERE kind = ?', kind);
    },
    async 'mockUp.create'(content) {
      const made = deps.books.book().write((writer) => createEditable(writer, mockUpKind, content));
      changed();
      return made;
    },
    async 'mockUp.update'({ id, content }) {
      const made = deps.books.book().write((writer) => updateEditable(writer, mockUpKind, id, content));
      deps.announce({ topic: 'mock_up_changed', id });
      return made;
    },
    /** The copy is another configuration: readings stay with the one they were taken on, the copy names its origin. */
    async 'mockUp.copy'({ id, name }) {
      const made = deps.books.book().write((writer) => {
        const { id: copiedFromId, workplaceId: _, createdAt: __, ...content } = getEditable(writer, mockUpKind, id);
        return createEditable(writer, mockUpKind, { ...content, name, copiedFromId });
      });
      changed();
      return made;
    },
    async 'mockUp.whole'({ id }) {
      return mockUpWhole(deps.books.book().read, id);
    },
    async 'mockUp.compare'({ ids }) {
      const { read } = deps.books.book();
      return ids.map((id) => mockUpWhole(read, id));
    },
    async 'mockUp.list'() {
      return listEditable(deps.books.book().read, mockUpKind);
    },
  };
}
