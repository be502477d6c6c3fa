/** `npm run prove -- NAME [options]`: runs one long proof; without a name it lists them. */
import { defaultExportOf, namesIn } from '../support/named-modules.ts';
import type { Proof } from './proof.ts';

const folder = import.meta.dirname;
const names = namesIn(folder, ['run.ts', 'proof.ts']);

function isProof(candidate: unknown): candidate is Proof {
  return (
    typeof candidate === 'object' &&
    candidate !== null &&
    'name' in candidate &&
    'run' in candidate &&
    typeof candidate.run === 'function'
  );
}

async function main(args: readonly string[]): Promise<number> {
  const [name, ...rest] = args;
  if (name === undefined || name.startsWith('--')) {
    console.log(`Proofs: ${names.join(', ')}\nRun one with: npm run prove -- NAME [options]`);
    return 0;
  }
  if (!names.includes(name)) {
    console.error(`There is no proof "${name}". There are: ${names.join(', ')}`);
    return 2;
  }
  const proof = await defaultExportOf(folder, name);
  if (!isProof(proof)) throw new Error(`tests/prove/${name}.ts has no proof as its default export`);
  const holds = await proof.run(rest);
  console.log(`${proof.name}: ${holds ? 'holds' : 'DOES NOT HOLD'}`);
  return holds ? 0 : 1;
}

process.exitCode = await main(process.argv.slice(2));
