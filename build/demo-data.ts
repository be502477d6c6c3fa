import { join } from 'node:path';
import { createClient } from '../core/contract/client.ts';
import { createBookHolder } from '../electron/database/holder.ts';
import { bookFileName, dataFolder, ensureFolder } from '../electron/database/location.ts';
import { createPreferences } from '../electron/database/preferences.ts';
import { loadDemo } from '../electron/demo/load.ts';
import { createBookDispatch } from '../electron/handlers/index.ts';
import { programVersion } from '../electron/version.ts';

/**
 * Makes a demo book in a folder: `node build/demo-data.ts [FOLDER]`, by default the one that `npm start -- --demo` uses.
 * The program fills its demo book by itself at the first start; this is for pictures and tests.
 */
const folder = process.argv[2] ?? join(dataFolder(), 'demo');
ensureFolder(folder);
const books = await createBookHolder(join(folder, bookFileName));
const dispatch = createBookDispatch({
  books,
  preferences: createPreferences(folder),
  version: programVersion,
  shell: 'loopback',
  demo: true,
  notices: () => [],
  announce: () => {},
  printPdf: null,
  log: (sentence) => console.error(sentence),
});
const wasEmpty = await loadDemo(createClient({ call: dispatch, listen: () => () => {} }));
books.close();
console.log(wasEmpty ? `The demo book is in ${folder}` : `There are builds in ${folder} already; nothing was added.`);
