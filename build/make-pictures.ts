/**
 * Makes docs/pictures/bench.png for the README: the bench view as it stands at the end of the main job, taken by its
 * end-to-end test. Needs Chromium, ffmpeg and the large fixtures; run it after `npm run build`.
 */
import { spawnSync } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const root = join(import.meta.dirname, '..');
const taken = mkdtempSync(join(tmpdir(), 'portsight-pictures-'));
const pictures = join(root, 'docs', 'pictures');
try {
  const vitest = join(root, 'node_modules', 'vitest', 'vitest.mjs');
  const { status } = spawnSync(
    process.execPath,
    [vitest, 'run', '--project', 'browser', 'tests/e2e/main-job.test.ts'],
    { cwd: root, stdio: 'inherit', env: { ...process.env, PORTSIGHT_SCREENSHOTS: taken } },
  );
  if (status !== 0) throw new Error('The main job failed, so there is no picture of it.');
  mkdirSync(pictures, { recursive: true });
  copyFileSync(join(taken, 'main-job-bench.png'), join(pictures, 'bench.png'));
} finally {
  rmSync(taken, { recursive: true, force: true });
}
