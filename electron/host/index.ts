import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { readHostOptions } from './options.ts';
import { runHost } from './run.ts';

// Bundled to out/host/index.js with the page in out/renderer; from sources the page may be served from them as well.
const isSource = import.meta.filename.endsWith('.ts');
const ownPageFolder = isSource
  ? join(import.meta.dirname, '..', '..', 'out', 'renderer')
  : join(import.meta.dirname, '..', 'renderer');

try {
  const options = readHostOptions(process.argv.slice(2));
  const pageFolder = options.pageFolder ?? ownPageFolder;
  if (!options.development && !existsSync(join(pageFolder, 'index.html'))) {
    console.error('The page is not built yet: run `npm run build`, or start the host with --dev.');
    process.exit(1);
  }
  await runHost(options, pageFolder);
} catch (error) {
  console.error(error instanceof Error ? error.message : String(error));
  process.exit(1);
}
