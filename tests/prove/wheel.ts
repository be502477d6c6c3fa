import { loadImageOps } from '../../electron/cli/load-opencv.ts';
import { runTrials } from '../support/wheel-trials.ts';
import type { Proof } from './proof.ts';

const framesBetweenReports = 60;

/**
 * Random synthetic set-ups (style, pose, light, cover, eccentricity, run-out), read from the first picture on: no accepted
 * angle may be off by more than 0.2 degrees in 2,000 frames. Optional arguments: frames, first seed.
 */
const proof: Proof = {
  name: 'wheel',
  async run(args: readonly string[]): Promise<boolean> {
    const frames = Number(args[0] ?? 2000);
    const firstSeed = Number(args[1] ?? 1);
    let told = 0;
    const summary = runTrials(await loadImageOps(), frames, firstSeed, (done) => {
      if (done - told < framesBetweenReports) return;
      told = done;
      console.error(`${done} of ${frames} frames`);
    });
    console.log(summary.text);
    return summary.over.length === 0;
  },
};

export default proof;
