import { createWheelReader } from '../../core/wheel/reader.ts';
import type { WheelReader } from '../../core/wheel/types.ts';
import { decodePicture } from '../../electron/cli/decode-picture.ts';
import { readFrameList } from '../../electron/cli/frame-list.ts';
import { loadImageOps } from '../../electron/cli/load-opencv.ts';
import { type CodedTrial, codedConditions, summaryOf, tryCoded } from '../support/coded-trials.ts';
import { Random } from '../support/random.ts';
import { missingFixturesReason, sharedFolder, sharedPath } from '../support/shared-fixtures.ts';
import type { Proof } from './proof.ts';

/**
 * Pictures of the printed wheel under random poses and lights: whatever is read must be right, in the first picture of a
 * set-up and after its turn. Optional arguments: number of pictures, first seed.
 */
const proof: Proof = {
  name: 'coded',
  async run(args: readonly string[]): Promise<boolean> {
    const pictures = Number(args[0] ?? 500);
    const firstSeed = Number(args[1] ?? 1);
    const reader = createWheelReader(await loadImageOps());
    const first: CodedTrial[] = [];
    const turned: CodedTrial[] = [];
    for (let seed = firstSeed; first.length + turned.length < pictures; seed++) {
      const isTurned = seed % 3 === 0;
      const tiltDeg = new Random(seed).between(0, 35);
      (isTurned ? turned : first).push(...tryCoded(reader, seed, tiltDeg, codedConditions, isTurned));
      if (seed % 5 === 0) console.error(`${first.length + turned.length} of ${pictures} pictures`);
    }
    const summaries = [summaryOf(first), summaryOf(turned)];
    console.log(`From the first picture:\n${summaries[0]?.text}\nAfter the turn:\n${summaries[1]?.text}`);
    return (await nothingInStills(reader)) && summaries.every((s) => s.wrong.length === 0);
  },
};

/** No photoreal still of an ordinary wheel may decode by chance. */
async function nothingInStills(reader: WheelReader): Promise<boolean> {
  if (sharedFolder === null) {
    console.log(missingFixturesReason);
    return true;
  }
  const folder = sharedPath('fixtures', 'stills');
  const { setups } = await readFrameList(`${folder}/frames-rim.json`);
  let pictures = 0;
  let decoded = 0;
  for (const { reference, frames, rim } of setups) {
    if (rim === undefined) continue;
    const made = reader.createSetup(await decodePicture(`${folder}/${reference}`), rim);
    if (!made.ok) continue;
    for (const frame of [reference, ...frames]) {
      pictures++;
      if (reader.readCodedRing(made.setup, await decodePicture(`${folder}/${frame}`)).state !== 'not_seen') decoded++;
    }
  }
  console.log(`Stills of ordinary wheels: ${decoded} of ${pictures} decoded`);
  return pictures > 0 && decoded === 0;
}

export default proof;
