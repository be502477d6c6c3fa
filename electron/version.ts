import manifest from '../package.json' with { type: 'json' };

export const programVersion: string = manifest.version;
