import type { Plugin } from 'vite';

/** The two places of OpenCV.js that are rewritten; a release that reads otherwise stops the build. */
const embedded =
  /function findWasmBinary\(\)\{var f="data:application\/octet-stream;base64,([A-Za-z0-9+/=]+)";return f\}/;
const fromMemory =
  'async function instantiateAsync(binary,binaryFile,imports){return instantiateArrayBuffer(binaryFile,imports)}';

/**
 * Puts OpenCV's WebAssembly, eleven megabytes of text in its script, into a file of its own: the browser compiles it
 * while it arrives, instead of reading a literal, decoding it and compiling it one after the other.
 */
export function opencvApart(): Plugin {
  return {
    name: 'opencv-apart',
    apply: 'build',
    transform: {
      filter: { id: /@opencvjs[\\/]web[\\/]lib[\\/]opencv_js\.js$/ },
      handler(code) {
        const base64 = embedded.exec(code)?.[1];
        if (base64 === undefined || !code.includes(fromMemory)) {
          throw new Error('OpenCV.js is written differently than before: see build/opencv-apart.ts.');
        }
        const file = this.emitFile({ type: 'asset', name: 'opencv.wasm', source: Buffer.from(base64, 'base64') });
        return code
          .replace(embedded, () => `function findWasmBinary(){return import.meta.ROLLUP_FILE_URL_${file}}`)
          .replace(
            fromMemory,
            'function instantiateAsync(binary,binaryFile,imports){return WebAssembly.instantiateStreaming(fetch(binaryFile),imports)}',
          );
      },
    },
  };
}
