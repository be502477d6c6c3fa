import type { Random } from './random.ts';

/** A wheel face as it would be printed, in polar form: brightness by angle and radius. */
export interface SyntheticFace {
  /** Columns round the turn; column 0 is the face's zero, rising anticlockwise on the face seen square-on... as drawn. */
  readonly columns: number;
  readonly rows: number;
  /** 0..1, row after row from the centre to the rim. */
  readonly values: Float32Array;
  /** Columns blurred by turning, made when asked for. */
  readonly blurred: Map<number, Float32Array>;
  readonly tickStepDeg: 1 | 2;
  /** Angle after which the whole face repeats. */
  readonly repeatsDeg: 360 | 180 | 90;
}

/** How the numerals run: round the turn, up and down twice or four times in it, or 0 to 90 four times over. */
export type Numbering = '360' | '180' | '90' | '0_to_90';

export interface FaceWishes {
  /** A numbering that repeats may come without lettering and stains that tell the repeats apart. */
  readonly mayRepeat?: boolean;
  readonly numbering?: Numbering;
}

export const faceColumns = 8192;
export const faceRowCount = 320;

/** Segments a digit lights on a seven-segment figure: top, upper right, lower right, bottom, lower left, upper left, middle. */
const digitSegments: readonly string[] = [
  'abcdef',
  'bc',
  'abged',
  'abgcd',
  'fgbc',
  'afgcd',
  'afgedc',
  'abc',
  'abcdefg',
  'abcdfg',
];
const segmentPlace: Readonly<Record<string, readonly [number, number, number, number]>> = {
  a: [0, 1, 1, 1],
  b: [1, 0.5, 1, 1],
  c: [1, 0, 1, 0.5],
  d: [0, 0, 1, 0],
  e: [0, 0, 0, 0.5],
  f: [0, 0.5, 0, 1],
  g: [0, 0.5, 1, 0.5],
};

/** Draws a random face: ground, ticks, numerals, lettering, holes, stains, grain. */
export function drawFace(random: Random, wishes: FaceWishes = {}): SyntheticFace {
  const values = new Float32Array(faceColumns * faceRowCount);
  const dark = random.chance(0.35);
  const ground = dark ? random.between(0.05, 0.2) : random.between(0.55, 0.9);
  const faint = random.chance(0.2);
  const strength = faint ? random.between(0.2, 0.35) : random.between(0.4, 0.6);
  const ink = dark ? ground + strength : ground - Math.min(ground - 0.02, strength);
  values.fill(ground);
  const tickStepDeg = random.chance(0.2) ? 2 : 1;
  const outward = random.chance(0.4);
  const base = outward ? random.between(0.84, 0.9) : random.between(0.965, 0.985);
  const lengths = [random.between(0.035, 0.055), random.between(0.06, 0.075), random.between(0.085, 0.11)] as const;
  const halfWidth = random.between(0.1, 0.2);
  for (let deg = 0; deg < 360; deg += tickStepDeg) {
    const length = deg % 10 === 0 ? lengths[2] : deg % 5 === 0 ? lengths[1] : lengths[0];
    const [from, to] = outward ? [base, Math.min(0.985, base + length)] : [base - length, base];
    patch(values, deg - halfWidth, deg + halfWidth, from, to, ink);
  }
  const picked = random.pick(['360', '360', '180', '90'] as const);
  const numbering = wishes.numbering ?? picked;
  const spacing = random.pick([10, 10, 30, 20]);
  // A quarter turn must hold a whole number of spacings for the face to repeat after it.
  const every = numbering === '0_to_90' && 90 % spacing !== 0 ? 10 : spacing;
  const size = random.between(0.05, 0.075);
  const at = (outward ? base : base - lengths[2]) - size - random.between(0.02, 0.035);
  for (let deg = 0; deg < 360; deg += every) {
    const text = String(numberAt(deg, numbering));
    writeText(values, text, deg, at, size, ink);
  }
  const isPlain = wishes.mayRepeat === true && (numbering === '90' || numbering === '0_to_90');
  if (!isPlain) {
    for (const word of [random.between(0, 360), random.between(0, 360)])
      writeText(values, String(Math.floor(random.between(100, 999))), word, random.between(0.35, 0.5), 0.09, ink);
    const stains = 2 + Math.floor(random.between(0, 6));
    for (let i = 0; i < stains; i++)
      blob(
        values,
        random.between(0, 360),
        random.between(0.3, 0.95),
        random.between(0.02, 0.08),
        random.between(0.55, 0.9),
      );
  }
  const holes = random.pick([0, 4, 6]);
  const repeatsDeg = !isPlain ? 360 : numbering === '0_to_90' && holes !== 6 ? 90 : 180;
  for (let i = 0; i < holes; i++) blob(values, (360 / holes) * i + 12, 0.42, 0.06, 0.15);
  return { columns: faceColumns, rows: faceRowCount, values, blurred: new Map(), tickStepDeg, repeatsDeg };
}

function numberAt(deg: number, numbering: Numbering): number {
  switch (numbering) {
    case '360':
      return deg;
    case '180':
      return deg <= 180 ? deg : 360 - deg;
    case '90':
      return Math.min(deg % 180, 180 - (deg % 180));
    case '0_to_90':
      return deg % 90;
  }
}

/** Paints a piece of a ring; angles rise clockwise as the face is looked at. */
export function patch(
  values: Float32Array,
  fromDeg: number,
  toDeg: number,
  fromRho: number,
  toRho: number,
  value: number,
): void {
  const x0 = (fromDeg / 360) * faceColumns;
  const x1 = (toDeg / 360) * faceColumns;
  for (let r = Math.ceil(fromRho * faceRowCount); r < toRho * faceRowCount && r < faceRowCount; r++)
    for (let x = Math.floor(x0); x <= Math.ceil(x1); x++) {
      const share = Math.max(0, Math.min(x + 1, x1) - Math.max(x, x0));
      const i = r * faceColumns + (((x % faceColumns) + faceColumns) % faceColumns);
      values[i] = (values[i] as number) + share * (value - (values[i] as number));
    }
}

/** Digits standing on the circle, read from outside or inside alike: what counts is that they differ. */
export function writeText(
  values: Float32Array,
  text: string,
  atDeg: number,
  rho: number,
  size: number,
  ink: number,
): void {
  const radToDeg = 180 / Math.PI;
  const digitDeg = ((size * 0.55) / (rho + size / 2)) * radToDeg;
  const gapDeg = digitDeg * 0.4;
  const total = text.length * digitDeg + (text.length - 1) * gapDeg;
  const stroke = size * 0.07;
  const strokeDeg = (stroke / (rho + size / 2)) * radToDeg;
  [...text].forEach((digit, k) => {
    const left = atDeg - total / 2 + k * (digitDeg + gapDeg);
    for (const s of digitSegments[Number(digit)] ?? '') {
      const [x0, y0, x1, y1] = segmentPlace[s] as readonly [number, number, number, number];
      patch(
        values,
        left + x0 * digitDeg - strokeDeg,
        left + x1 * digitDeg + strokeDeg,
        rho + y0 * size - stroke,
        rho + y1 * size + stroke,
        ink,
      );
    }
  });
}

export function blob(values: Float32Array, atDeg: number, rho: number, radius: number, factor: number): void {
  const cx = rho * Math.cos((atDeg * Math.PI) / 180);
  const cy = rho * Math.sin((atDeg * Math.PI) / 180);
  for (
    let r = Math.max(0, Math.floor((rho - radius) * faceRowCount));
    r < (rho + radius) * faceRowCount && r < faceRowCount;
    r++
  )
    for (let x = 0; x < faceColumns; x++) {
      const t = (2 * Math.PI * x) / faceColumns;
      const d = Math.hypot((r / faceRowCount) * Math.cos(t) - cx, (r / faceRowCount) * Math.sin(t) - cy) / radius;
      if (d < 1)
        values[r * faceColumns + x] =
          (values[r * faceColumns + x] as number) * (d < 0.8 ? factor : factor + ((1 - factor) * (d - 0.8)) / 0.2);
    }
}

/** The face smeared by turning through `deg` during the exposure. */
export function smeared(face: SyntheticFace, deg: number): Float32Array {
  if (deg <= 0) return face.values;
  const known = face.blurred.get(deg);
  if (known !== undefined) return known;
  // An odd number of columns, so that the middle of the exposure is the middle of the smear.
  const width = 2 * Math.round((deg / 720) * faceColumns - 0.5) + 1;
  if (width <= 1) return face.values;
  const out = new Float32Array(face.values.length);
  for (let r = 0; r < faceRowCount; r++) {
    const o = r * faceColumns;
    let sum = 0;
    for (let d = 0; d < width; d++) sum += face.values[o + ((d - (width >> 1) + faceColumns) % faceColumns)] as number;
    for (let x = 0; x < faceColumns; x++) {
      out[o + x] = sum / width;
      sum +=
        (face.values[o + ((x - (width >> 1) + width + faceColumns) % faceColumns)] as number) -
        (face.values[o + ((x - (width >> 1) + faceColumns) % faceColumns)] as number);
    }
  }
  face.blurred.clear();
  face.blurred.set(deg, out);
  return out;
}
