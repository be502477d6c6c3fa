import { execFileSync } from 'node:child_process';
import { statSync } from 'node:fs';
import { join } from 'node:path';
import { missingFixturesReason, sharedFolder, sharedPath } from '../tests/support/shared-fixtures.ts';

/**
 * Makes native-fixtures/demo-camera.webm, the recorded camera of the demo: the bench session at its true 15 frames/s,
 * compressed until it is small, yet read as well as the original. Needs ffmpeg and the large fixtures.
 */
if (sharedFolder === null) throw new Error(missingFixturesReason);

const target = join(import.meta.dirname, '..', 'native-fixtures', 'demo-camera.webm');
const input = ['-f', 'mjpeg', '-framerate', '15', '-i', sharedPath('fixtures', 'session', 'session.mjpeg')];
const quality = [
  '-c:v',
  'libvpx-vp9',
  '-b:v',
  '0',
  '-crf',
  '30',
  '-deadline',
  'good',
  '-cpu-used',
  '2',
  '-row-mt',
  '1',
];
// A key frame every five seconds: winding back to a stamp shows its picture without a long decode.
execFileSync('ffmpeg', ['-y', '-loglevel', 'error', ...input, ...quality, '-g', '75', '-pix_fmt', 'yuv420p', target], {
  stdio: 'inherit',
});
console.log(`${target}: ${(statSync(target).size / 1e6).toFixed(1)} MB`);
