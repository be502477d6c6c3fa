import { startShell } from './shell/start.ts';

await startShell();
