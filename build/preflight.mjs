// First step of every script: the rest of the project needs Node 24.9 or newer and better-sqlite3's prebuilt binary.
// Optional packages that failed to download are silent in npm, so this is where a missing one is named.
import { createRequire } from 'node:module';

const [major = 0, minor = 0] = process.versions.node.split('.').map(Number);
if (major < 24 || (major === 24 && minor < 9)) {
  console.error(
    `Portsight needs Node 24.9 or newer and was started with ${process.versions.node}.\n` +
      'On Linux and Windows `npm ci` brings it along: run `npm ci` again and read its output for a failed download.\n' +
      'On macOS install Node 24 and run the command again.',
  );
  process.exit(1);
}
try {
  const Database = createRequire(import.meta.url)('better-sqlite3');
  new Database(':memory:').close();
} catch (error) {
  console.error(
    `The database module could not be loaded (${error instanceof Error ? error.message : String(error)}).\n` +
      'Remove the folder node_modules and run `npm ci` again with the same Node that runs the program.',
  );
  process.exit(1);
}
