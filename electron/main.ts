import { startShell } from './shell/start.ts';

// Not awaited: Electron gets ready only after this module is done.
void startShell();
