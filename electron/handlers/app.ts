import type { Handlers } from '../../core/contract/dispatch.ts';
import type { HandlerDependencies } from './dependencies.ts';

export function appHandlers(
  deps: HandlerDependencies,
): Pick<Handlers, 'app.info' | 'preferences.get' | 'preferences.set'> {
  return {
    async 'app.info'() {
      const book = deps.book();
      return {
        version: deps.version,
        databasePath: book.path,
        workplaceId: book.workplace.id,
        workplaceName: book.workplace.name,
        shell: deps.shell,
        demo: deps.demo,
        readOnlyReason: book.readOnlyReason,
        notices: [...deps.notices(), ...book.notices],
        canPrintPdf: deps.printPdf !== null,
      };
    },
    async 'preferences.get'() {
      return deps.preferences.all();
    },
    async 'preferences.set'({ key, value }) {
      deps.preferences.set(key, value);
      return {};
    },
  };
}
