import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { archiveFormatVersion, archiveJsonSchema } from '../electron/archive/format.ts';

/** Publishes the JSON Schema of the archive; a test holds the file to the program. */
const path = join(import.meta.dirname, '..', 'docs', 'archive-format', `archive-${archiveFormatVersion}.schema.json`);
writeFileSync(path, `${JSON.stringify(archiveJsonSchema(), null, 2)}\n`);
console.log(path);
