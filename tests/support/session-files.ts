import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { sharedPath } from './shared-fixtures.ts';

/** Why recordings and pictures can't be cut out of the session here, or null. */
export const missingFfmpegReason = existsSync('/usr/bin/ffmpeg')
  ? null
  : 'no ffmpeg was found; install it with: apt-get install ffmpeg';

function cut(args: readonly string[]): void {
  const session = ['-f', 'mjpeg', '-framerate', '15', '-i', sharedPath('fixtures', 'session', 'session.mjpeg')];
  execFileSync('ffmpeg', ['-y', '-loglevel', 'error', ...session, ...args]);
}

/** The first frames of the session as a WebM recording (VP8), at their true 15 frames/s. */
export function makeSessionRecording(file: string, frames: number): void {
  const speed = ['-deadline', 'realtime', '-cpu-used', '6', '-threads', '2'];
  cut(['-frames:v', String(frames), '-c:v', 'libvpx', '-b:v', '16M', '-crf', '4', '-qmax', '20', ...speed, file]);
}

/** One frame of the session as JPEG or PNG, by the ending of the file. */
export function makeSessionStill(file: string, frame: number, filter = 'null'): void {
  cut(['-vf', `select=eq(n\\,${frame}),${filter}`, '-frames:v', '1', '-q:v', '2', '-update', '1', file]);
}

/**
 * A frame as a camera held on its side keeps it: pixels a quarter turn to the left, and the note that they be turned
 * a quarter turn to the right for showing (orientation 6).
 * @source Exif 2.32 (CIPA DC-008-2019), 4.6.4: tag 274, SHORT, count 1
 */
export function makeSidewaysJpeg(file: string, frame: number): void {
  makeSessionStill(file, frame, 'transpose=cclock');
  const jpeg = readFileSync(file);
  const tiff = Buffer.from('4d4d002a00000008' + '0001' + '0112000300000001' + '00060000' + '00000000', 'hex');
  const body = Buffer.concat([Buffer.from('Exif\0\0', 'latin1'), tiff]);
  const length = Buffer.alloc(2);
  length.writeUInt16BE(body.length + 2);
  writeFileSync(file, Buffer.concat([jpeg.subarray(0, 2), Buffer.from('ffe1', 'hex'), length, body, jpeg.subarray(2)]));
}
