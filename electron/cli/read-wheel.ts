import { isAbsolute, join } from 'node:path';
import { parseArgs } from 'node:util';
import { createWheelReader } from '../../core/wheel/reader.ts';
import { refusalText } from '../../core/wheel/refusals.ts';
import type { GreyPicture, RefusalReason, RimEllipse, WheelReader, WheelSetup } from '../../core/wheel/types.ts';
import { decodePicture, PictureError } from './decode-picture.ts';
import { FrameListError, type FrameListSetup, readFrameList } from './frame-list.ts';
import { loadImageOps } from './load-opencv.ts';

export const readWheelUsage = `portsight read-wheel DIR [--frames FILE]

Reads the rotation of a degree wheel in photographs (JPEG, PNG).
DIR     folder with the pictures and a frames.json:
        {"setups": [{"id": "a", "reference": "a0.jpg", "frames": ["a1.jpg", ...], "rim": {...}}]}
        One set-up is one fixed camera and wheel. All its pictures together are the turn from which
        eccentricity and run-out are worked out: at least three, spread over half a turn or more.
        rim is the wheel's outline {"centrePx": [x, y], "fullAxesPx": [a, b], "angleDeg": w}, a few pixels
        off at most; left out, the wheel is looked for.
FILE    another list than DIR/frames.json.

Prints one JSON line a picture: {setup, frame, rotationDeg, sigmaDeg, accepted, reason, modulusDeg};
rotationDeg is clockwise as the camera sees it, from the reference picture. Pictures that can't be read
with certainty are refused with a reason. What is going on is told on the error stream.

A wheel printed by portsight print-wheel adds absoluteDeg and absoluteSigmaDeg to its lines: the zero mark, in
degrees clockwise in the wheel's plane from straight above the wheel's centre in the picture, by the coded ring
of that picture alone; null where the ring doesn't prove it. An arc of 60 degrees is enough, so it is also told
for pictures whose rotation is refused. The turn makes it more certain, but isn't needed.`;

/** One printed line. */
export interface WheelLine {
  readonly setup: string;
  readonly frame: string;
  readonly rotationDeg: number | null;
  readonly sigmaDeg: number | null;
  readonly accepted: boolean;
  readonly reason: string | null;
  readonly modulusDeg: number;
  /** Only where the wheel carries a coded ring. */
  readonly absoluteDeg?: number | null;
  readonly absoluteSigmaDeg?: number | null;
}

/** `portsight read-wheel`; returns the exit code: 0 read (refusals included), 1 couldn't work, 2 wrong arguments. */
export async function readWheel(args: string[]): Promise<number> {
  let folder: string | undefined;
  let frames: string | undefined;
  try {
    const parsed = parseArgs({
      args,
      allowPositionals: true,
      options: { frames: { type: 'string' }, help: { type: 'boolean', short: 'h' } },
    });
    if (parsed.values.help === true) {
      console.log(readWheelUsage);
      return 0;
    }
    folder = parsed.positionals[0];
    frames = parsed.values.frames;
    if (folder === undefined || parsed.positionals.length > 1) throw new Error('Name one folder.');
  } catch (error) {
    console.error(`${error instanceof Error ? error.message : String(error)}\n\n${readWheelUsage}`);
    return 2;
  }
  try {
    // A bare file name means the folder's own; a path is taken as it stands.
    const listPath =
      frames === undefined
        ? join(folder, 'frames.json')
        : isAbsolute(frames) || frames.includes('/')
          ? frames
          : join(folder, frames);
    const list = await readFrameList(listPath);
    const reader = createWheelReader(await loadImageOps());
    for (const setup of list.setups) {
      const started = performance.now();
      const lines = await readSetup(reader, folder, setup);
      for (const line of lines) console.log(JSON.stringify(line));
      const accepted = lines.filter((l) => l.accepted).length;
      console.error(
        `${setup.id}: ${accepted} of ${lines.length} pictures read in ${((performance.now() - started) / 1000).toFixed(1)} s`,
      );
    }
    return 0;
  } catch (error) {
    if (error instanceof PictureError || error instanceof FrameListError) {
      console.error(error.message);
      return 1;
    }
    throw error;
  }
}

/** Camera and wheel stand still: where the reference shows the wheel poorly, another picture tells where it is. */
function findRim(reader: WheelReader, pictures: readonly GreyPicture[]): RimEllipse | null {
  let best: { rim: RimEllipse; confidence: number } | null = null;
  for (const picture of pictures.slice(0, 5)) {
    const found = reader.findWheel(picture);
    if (!found.ok) continue;
    if (best === null || found.confidence > best.confidence) best = found;
    if (best.confidence > 0.6) break;
  }
  return best?.rim ?? null;
}

async function readSetup(reader: WheelReader, folder: string, listed: FrameListSetup): Promise<WheelLine[]> {
  const reference = await decodePicture(join(folder, listed.reference));
  const pictures: GreyPicture[] = [];
  for (const frame of listed.frames) pictures.push(await decodePicture(join(folder, frame)));
  const all = (reason: RefusalReason, made: WheelSetup | null = null): WheelLine[] => {
    const { what, remedy } = refusalText(reason);
    console.error(`${listed.id}: ${what} ${remedy}`);
    return listed.frames.map((frame, i) => ({
      setup: listed.id,
      frame,
      rotationDeg: null,
      sigmaDeg: null,
      accepted: false,
      reason,
      modulusDeg: 360,
      ...absoluteOf(reader, made, pictures[i]),
    }));
  };
  const rim = listed.rim ?? findRim(reader, [reference, ...pictures]);
  if (rim === null) return all('wheel_not_found');
  const made = reader.createSetup(reference, rim);
  if (!made.ok) return all(made.reason);
  const turn = reader.startTurn(made.setup);
  reader.addTurnFrame(turn, reference, null);
  for (const picture of pictures) reader.addTurnFrame(turn, picture, null);
  const outcome = reader.finishTurn(turn);
  if (!outcome.ok) return all(outcome.reason, made.setup);
  const { setup, findings } = outcome;
  console.error(
    `${listed.id}: model from ${findings.framesUsed} pictures over ${findings.arcCoveredDeg.toFixed(0)} deg, residual ${findings.residualDeg.toFixed(3)} deg, run-out ${findings.runOutDeg.toFixed(2)} deg, eccentricity ${(100 * findings.eccentricityOfRadius).toFixed(2)} % of the radius`,
  );
  return listed.frames.map((frame, i): WheelLine => {
    const reading = reader.readFrame(setup, pictures[i] as GreyPicture);
    return {
      setup: listed.id,
      frame,
      rotationDeg: reading.rotationDeg,
      sigmaDeg: reading.sigmaDeg,
      accepted: reading.accepted,
      reason: reading.reason,
      modulusDeg: reading.modulusDeg,
      ...absoluteOf(reader, setup, pictures[i]),
    };
  });
}

/** What the coded ring adds to a line; nothing on other wheels. */
function absoluteOf(
  reader: WheelReader,
  setup: WheelSetup | null,
  picture: GreyPicture | undefined,
): Pick<WheelLine, 'absoluteDeg' | 'absoluteSigmaDeg'> {
  if (setup === null || picture === undefined || setup.codedRing === null) return {};
  const coded = reader.readCodedRing(setup, picture);
  return coded.state === 'read'
    ? { absoluteDeg: coded.absoluteDeg, absoluteSigmaDeg: coded.sigmaDeg }
    : { absoluteDeg: null, absoluteSigmaDeg: null };
}
