import type { NumbersGrow } from '../../core/wheel/coded/wheel-face.ts';
import type { CodedReading, GreyPicture, RimEllipse, WheelReader, WheelSetup } from '../../core/wheel/types.ts';
import { codedFace, trueAbsoluteDeg } from './coded-wheel.ts';
import { Random } from './random.ts';
import type { SyntheticFace } from './synthetic-face.ts';
import { photograph, pixelOfFace, rimOf, type Shot, type SyntheticSetup, syntheticSetup } from './synthetic-wheel.ts';
import { dragged } from './wheel-trials.ts';

/** What is done to a picture of the printed wheel. */
export const codedConditions = [
  'clean',
  'hand_over',
  'short_arc',
  'glare',
  'dark',
  'dim',
  'blurred',
  'soft',
  'noisy',
  'smeared',
  'mirrored',
] as const;
export type CodedCondition = (typeof codedConditions)[number];

/** Pictures that must not be read: the ring is gone, or must be reported as seen in a mirror. */
const unreadable: ReadonlySet<CodedCondition> = new Set(['smeared', 'mirrored']);

export interface CodedTrial {
  readonly seed: number;
  readonly condition: CodedCondition;
  readonly tiltDeg: number;
  readonly isTurned: boolean;
  readonly state: CodedReading['state'];
  readonly arcDeg: number;
  /** Of the absolute angle, degrees; 0 where there is none. */
  readonly errorDeg: number;
  readonly sigmaDeg: number;
  /** Of the scale value at a tick in the arc that is seen: half a degree would be the wrong tick. */
  readonly tickErrorDeg: number;
  readonly isWrong: boolean;
}

/** Whole degrees on the wrong tick begin here; a right one is far nearer. */
const mostTickErrorDeg = 0.4;
/** Once the turn has shown eccentricity and run-out. */
const mostTurnedErrorDeg = 0.25;

const faces: Partial<Record<NumbersGrow, SyntheticFace>> = {};

/** Where the uncovered stretch begins and how wide it is, degrees of picture angle. */
function shotOf(condition: CodedCondition, rotationDeg: number, random: Random): Shot {
  const base = { rotationDeg, seed: Math.floor(random.between(1, 1e9)), noise: random.between(0.8, 2) };
  const at = random.between(0, 360);
  switch (condition) {
    case 'clean':
    case 'mirrored':
    case 'glare':
      return base;
    case 'hand_over':
      return { ...base, covered: random.between(0.2, 0.55), coveredAtDeg: at };
    case 'short_arc':
      return { ...base, covered: 1 - random.between(78, 95) / 360, coveredAtDeg: at };
    case 'dark':
      return { ...base, exposure: random.between(0.06, 0.15) };
    case 'dim':
      return { ...base, exposure: random.between(0.25, 0.5) };
    case 'blurred':
      return { ...base, blurDeg: random.between(0.3, 1.6) };
    case 'soft':
      return { ...base, defocusPx: random.between(1, 1.9) };
    case 'noisy':
      return { ...base, noise: random.between(4, 9) };
    case 'smeared':
      return { ...base, blurDeg: random.between(15, 50) };
  }
}

function mirroredPicture(picture: GreyPicture): GreyPicture {
  const { widthPx, heightPx, stride } = picture;
  const data = new Uint8Array(widthPx * heightPx);
  for (let y = 0; y < heightPx; y++)
    for (let x = 0; x < widthPx; x++) data[y * widthPx + x] = picture.data[y * stride + widthPx - 1 - x] as number;
  return { widthPx, heightPx, stride: widthPx, data };
}

function mirroredRim(rim: RimEllipse, widthPx: number): RimEllipse {
  return { ...rim, centrePx: [widthPx - 1 - rim.centrePx[0], rim.centrePx[1]], angleDeg: -rim.angleDeg };
}

/** A random place of camera and printed wheel: up to 35 degrees of tilt, off-centre, now and then partly out of the picture. */
function codedSetup(seed: number, tiltDeg: number, random: Random): { scene: SyntheticSetup; grows: NumbersGrow } {
  const grows = random.pick(['clockwise', 'anticlockwise'] as const);
  faces[grows] ??= codedFace(grows);
  const isCut = random.chance(0.25);
  const size = random.pick([
    [640, 480],
    [800, 600],
    [960, 540],
  ] as const);
  const scene = syntheticSetup(seed, {
    face: faces[grows],
    tiltDeg,
    size,
    radiusPx: random.between(172, Math.min(250, size[1] * 0.45)),
    ...(isCut ? { middle: [random.pick([0.2, 0.8]), random.between(0.42, 0.58)] as const } : {}),
  });
  return { scene, grows };
}

function glaring(scene: SyntheticSetup, random: Random): SyntheticSetup {
  const rim = rimOf(scene, 0);
  const at = random.between(0, 2 * Math.PI);
  return {
    ...scene,
    light: {
      ...scene.light,
      spot: random.between(0.5, 1.1),
      spotX: rim.centrePx[0] + 0.4 * rim.fullAxesPx[0] * Math.cos(at),
      spotY: rim.centrePx[1] + 0.4 * rim.fullAxesPx[0] * Math.sin(at),
      spotWidth: random.between(0.04, 0.1) * scene.widthPx,
    },
  };
}

const turnFrames = 8;

function turnedSetup(reader: WheelReader, setup: WheelSetup, take: (deg: number) => GreyPicture, random: Random) {
  const turn = reader.startTurn(setup);
  for (let i = 0; i < turnFrames; i++)
    reader.addTurnFrame(turn, i === 0 ? take(0) : take(((i + random.next()) * 360) / turnFrames), null);
  const outcome = reader.finishTurn(turn);
  return outcome.ok ? outcome.setup : null;
}

function wrap(deg: number): number {
  return deg - 360 * Math.round(deg / 360);
}

/**
 * One place of camera and wheel, read under some conditions: straight from the set-up's first picture, or, with `isTurned`,
 * after a turn of the crank.
 */
export function tryCoded(
  reader: WheelReader,
  seed: number,
  tiltDeg: number,
  conditions: readonly CodedCondition[],
  isTurned: boolean,
): CodedTrial[] {
  const random = new Random(seed * 104_729 + 7);
  const { scene, grows } = codedSetup(seed, tiltDeg, random);
  const reference = photograph(scene, { rotationDeg: 0, seed: seed * 31 + 1 });
  const rim = dragged(rimOf(scene, 0), random);
  const made = reader.createSetup(reference, rim);
  const lost = (condition: CodedCondition): CodedTrial => ({
    seed,
    condition,
    tiltDeg,
    isTurned,
    state: 'not_seen',
    arcDeg: 0,
    errorDeg: 0,
    sigmaDeg: 0,
    tickErrorDeg: 0,
    isWrong: false,
  });
  if (!made.ok) return conditions.map(lost);
  const take = (deg: number): GreyPicture =>
    deg === 0 ? reference : photograph(scene, { rotationDeg: deg, seed: Math.floor(random.between(1, 1e9)) });
  const setup = isTurned ? turnedSetup(reader, made.setup, take, random) : made.setup;
  if (setup === null) return conditions.map(lost);
  const referenceDeg = trueAbsoluteDeg(scene, 0);
  return conditions.map((condition): CodedTrial => {
    const rotationDeg = random.between(0, 360);
    const shot = shotOf(condition, rotationDeg, random);
    const picture = photograph(condition === 'glare' ? glaring(scene, random) : scene, shot);
    if (condition === 'mirrored') return mirroredTrial(reader, lost(condition), mirroredPicture(picture), rim, scene);
    // A tick in the middle of the stretch that nothing covers.
    const clear = (shot.coveredAtDeg ?? 0) - 180 * (1 - (shot.covered ?? 0));
    const [cx, cy] = rimOf(scene, rotationDeg).centrePx;
    const seen = nearestTick(scene, rotationDeg, clear, cx, cy);
    const reading = reader.readCodedRing(setup, picture, pixelOfFace(scene, rotationDeg, seen, 0.95));
    if (reading.state !== 'read')
      return { ...lost(condition), state: reading.state, isWrong: reading.state === 'mirrored' };
    const errorDeg = wrap(reading.absoluteDeg - referenceDeg - rotationDeg);
    const tickErrorDeg = wrap((reading.underPointerDeg ?? 0) - (grows === 'clockwise' ? seen : -seen));
    return {
      ...lost(condition),
      state: 'read',
      arcDeg: reading.arcDeg,
      errorDeg,
      sigmaDeg: reading.sigmaDeg,
      tickErrorDeg,
      isWrong:
        unreadable.has(condition) ||
        reading.grows !== grows ||
        Math.abs(tickErrorDeg) > mostTickErrorDeg ||
        Math.abs(errorDeg) > (isTurned ? mostTurnedErrorDeg : 4 * reading.sigmaDeg),
    };
  });
}

/** Whole degree of the face that the picture shows nearest to a picture angle about the wheel's middle. */
function nearestTick(scene: SyntheticSetup, rotationDeg: number, pictureDeg: number, cx: number, cy: number): number {
  let best = 0;
  let least = 360;
  for (let deg = 0; deg < 360; deg++) {
    const [x, y] = pixelOfFace(scene, rotationDeg, deg, 0.95);
    const gap = Math.abs(wrap((Math.atan2(y - cy, x - cx) * 180) / Math.PI - pictureDeg));
    if (gap < least && x >= 0 && y >= 0 && x < scene.widthPx && y < scene.heightPx) {
      least = gap;
      best = deg;
    }
  }
  return best;
}

/** In a mirror the set-up is made from the mirrored picture too, as a mirrored camera would have it. */
function mirroredTrial(
  reader: WheelReader,
  lost: CodedTrial,
  picture: GreyPicture,
  rim: RimEllipse,
  scene: SyntheticSetup,
): CodedTrial {
  const made = reader.createSetup(picture, mirroredRim(rim, scene.widthPx));
  if (!made.ok) return lost;
  const reading = reader.readCodedRing(made.setup, picture);
  return { ...lost, state: reading.state, isWrong: reading.state === 'read' || made.setup.codedRing !== null };
}

export interface CodedSummary {
  readonly trials: readonly CodedTrial[];
  readonly wrong: readonly CodedTrial[];
  /** Share of the readable pictures that were read. */
  readonly acceptance: number;
  readonly text: string;
}

/** Counts and errors, condition by condition. */
export function summaryOf(trials: readonly CodedTrial[]): CodedSummary {
  const wrong = trials.filter((t) => t.isWrong);
  const lines = codedConditions.flatMap((condition) => {
    const own = trials.filter((t) => t.condition === condition);
    if (own.length === 0) return [];
    const read = own.filter((t) => t.state === 'read');
    const most = (pick: (t: CodedTrial) => number): string =>
      read.length === 0 ? '-' : Math.max(...read.map((t) => Math.abs(pick(t)))).toFixed(3);
    const mirrored = own.filter((t) => t.state === 'mirrored').length;
    const counted = condition === 'mirrored' ? `${mirrored} seen as mirrored` : `${read.length} read`;
    return `${condition.padEnd(10)} ${String(own.length).padStart(4)} pictures, ${counted}; largest error: absolute ${most((t) => t.errorDeg)}, tick ${most((t) => t.tickErrorDeg)} deg`;
  });
  const readable = trials.filter((t) => !unreadable.has(t.condition));
  const accepted = readable.filter((t) => t.state === 'read');
  const acceptance = accepted.length / Math.max(1, readable.length);
  const within = (k: number): string =>
    (
      (100 * accepted.filter((t) => Math.abs(t.errorDeg) <= k * t.sigmaDeg).length) /
      Math.max(1, accepted.length)
    ).toFixed(0);
  lines.push(
    `${accepted.length} of ${readable.length} readable pictures read (${(100 * acceptance).toFixed(1)} %), ${wrong.length} wrong; absolute angle within 1 sigma ${within(1)} %, within 2 sigma ${within(2)} %`,
    ...wrong.map(
      (t) =>
        `  wrong: seed ${t.seed}, ${t.condition}, tilt ${t.tiltDeg.toFixed(0)}, ${t.state}, error ${t.errorDeg.toFixed(3)}, sigma ${t.sigmaDeg.toFixed(3)}, tick ${t.tickErrorDeg.toFixed(3)}, arc ${t.arcDeg}`,
    ),
  );
  return { trials, wrong, acceptance, text: lines.join('\n') };
}
