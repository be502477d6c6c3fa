import type { Handlers } from '../../core/contract/dispatch.ts';
import { bookTrouble } from './book-trouble.ts';
import type { HandlerDependencies } from './dependencies.ts';
import { diskFailure } from './files.ts';

export function appHandlers(
  deps: HandlerDependencies,
): Pick<Handlers, 'app.info' | 'preferences.get' | 'preferences.set'> {
  return {
    async 'app.info'() {
      const problem = deps.books.problem();
      const book = problem === null ? deps.books.book() : null;
      const workplace = deps.books.workplace();
      return {
        version: deps.version,
        databasePath: deps.books.path,
        workplaceId: workplace.id,
        workplaceName: workplace.name,
        shell: deps.shell,
        demo: deps.demo,
        readOnlyReason: problem?.message ?? book?.readOnlyReason ?? null,
        bookTrouble: bookTrouble(deps.books),
        notices: [...deps.notices(), ...(book?.notices ?? [])],
        canPrintPdf: deps.printPdf !== null,
      };
    },
    async 'preferences.get'() {
      return deps.preferences.all();
    },
    async 'preferences.set'({ key, value }) {
      try {
        deps.preferences.set(key, value);
      } catch (error) {
        throw diskFailure(error);
      }
      return {};
    },
  };
}
