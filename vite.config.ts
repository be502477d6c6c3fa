import { readFileSync } from 'node:fs';
import react from '@vitejs/plugin-react';
import { defineConfig } from 'vite';
import { opencvApart } from './build/opencv-apart.ts';

const manifest = JSON.parse(readFileSync(new URL('./package.json', import.meta.url), 'utf8')) as {
  dependencies: Record<string, string>;
};

/** Left outside the bundles: Node itself, Electron, and the native modules that are packed beside them. */
const external = [/^node:/, /^electron(\/.+)?$/, ...Object.keys(manifest.dependencies)];

export default defineConfig({
  root: 'renderer',
  base: './',
  plugins: [react()],
  // The name tells the host which script is the wheel worker's: only its response may allow what OpenCV needs.
  worker: {
    format: 'es',
    plugins: () => [opencvApart()],
    rolldownOptions: { output: { entryFileNames: 'assets/[name]-[hash].js' } },
  },
  builder: { sharedConfigBuild: true },
  optimizeDeps: { exclude: ['@opencvjs/web'] },
  environments: {
    client: {
      build: { outDir: '../out/renderer', emptyOutDir: true, target: 'chrome148', chunkSizeWarningLimit: 2000 },
    },
    main: {
      consumer: 'server',
      resolve: { noExternal: true },
      build: {
        outDir: '../out',
        emptyOutDir: false,
        target: 'node24',
        minify: false,
        sourcemap: true,
        copyPublicDir: false,
        rolldownOptions: {
          external,
          input: { 'main/index': 'electron/main.ts', 'host/index': 'electron/host/index.ts' },
          output: {
            format: 'es',
            entryFileNames: '[name].js', // Without a hash: old pieces would stay beside the new ones and be packed with them.
            chunkFileNames: 'main/[name].js',
          },
        },
      },
    },
    preload: {
      consumer: 'server',
      build: {
        outDir: '../out/preload',
        emptyOutDir: true,
        target: 'node24',
        copyPublicDir: false,
        rolldownOptions: {
          external: [/^electron/],
          input: 'electron/preload.ts',
          output: { format: 'cjs', entryFileNames: 'index.cjs', codeSplitting: false },
        },
      },
    },
  },
});
