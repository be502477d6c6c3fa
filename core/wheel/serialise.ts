import { ringColumns, ringMap } from './ring-map.ts';
import type { Background, CalibrationState, Keyframe, SetupState } from './state.ts';
import type { Strip } from './strip.ts';

/** First bytes of a kept set-up; the digit is the version. */
const mark = 'PSWHEEL3';
/** Strip values lie in -4..4 (8 without polarity); a step of 1/15 is far below their noise. */
const valueScale = 15;

/** Numbers and flags go as JSON, strips and pictures behind it as bytes. */
export function serialiseState(state: SetupState): Uint8Array {
  const blocks: Uint8Array[] = [];
  const strip = (s: Strip): StripPlace => {
    const at = blocks.length;
    blocks.push(
      Uint8Array.from(s.values, (v) => Math.max(-127, Math.min(127, Math.round(v * valueScale))) + 128),
      Uint8Array.from(s.valid),
      Uint8Array.from(s.contrast, (v) => Math.min(255, Math.round(v * 4))),
      Uint8Array.from(s.level, (v) => Math.min(255, Math.round(v))),
    );
    return { rows: s.rowCount, at, free: s.polarityFree };
  };
  const { calibration, background } = state;
  const head = {
    widthPx: state.widthPx,
    heightPx: state.heightPx,
    rim: state.rim,
    tickStepDeg: state.tickStepDeg,
    modulusDeg: state.modulusDeg,
    calibrated: state.calibrated,
    tiltDeg: state.tiltDeg,
    inPictureFraction: state.inPictureFraction,
    codedRing: state.codedRing,
    pointerPx: state.pointerPx,
    pointer: state.pointer === null ? null : { atPx: state.pointer.atPx, at: blocks.push(state.pointer.band) - 1 },
    map: { rim: state.map.rim, kx: state.map.kx, ky: state.map.ky },
    coherence: state.coherence,
    repeatDeg: state.repeatDeg,
    polarityFree: state.polarityFree,
    referenceSignature: state.referenceSignature,
    referenceRing: strip(state.referenceRing),
    referenceFace: strip(state.referenceFace),
    background:
      background === null
        ? null
        : {
            points: [...background.pointsPx],
            widthPx: background.widthPx,
            heightPx: background.heightPx,
            at: blocks.push(background.grey) - 1,
          },
    calibration:
      calibration === null
        ? null
        : {
            model: calibration.model,
            base: calibration.base,
            parameters: [...calibration.parameters],
            covariance: [...calibration.covariance],
            findings: calibration.findings,
            toldApartBy:
              calibration.toldApartBy === null
                ? null
                : { quarters: calibration.toldApartBy.quarters, at: blocks.push(calibration.toldApartBy.places) - 1 },
            keyframes: calibration.keyframes.map((k) => ({
              rotationDeg: k.rotationDeg,
              sigmaDeg: k.sigmaDeg,
              shiftX: k.shiftX,
              shiftY: k.shiftY,
              blurDeg: k.blurDeg,
              signature: k.signature,
              ring: strip(k.ring),
              face: strip(k.face),
            })),
          },
  };
  const json = utf8(JSON.stringify({ ...head, lengths: blocks.map((b) => b.length) }));
  const total = mark.length + 4 + json.length + blocks.reduce((sum, b) => sum + b.length, 0);
  const out = new Uint8Array(total);
  for (let i = 0; i < mark.length; i++) out[i] = mark.charCodeAt(i);
  new DataView(out.buffer).setUint32(mark.length, json.length);
  out.set(json, mark.length + 4);
  let o = mark.length + 4 + json.length;
  for (const b of blocks) {
    out.set(b, o);
    o += b.length;
  }
  return out;
}

interface StripPlace {
  readonly rows: number;
  readonly at: number;
  readonly free: boolean;
}
type Flat<T> = Omit<T, 'ring' | 'face'> & { readonly ring: StripPlace; readonly face: StripPlace };
interface Head
  extends Omit<
    SetupState,
    | 'kind'
    | 'map'
    | 'referenceRing'
    | 'referenceFace'
    | 'background'
    | 'calibration'
    | 'codedRing'
    | 'pointer'
    | 'pointerPx'
  > {
  readonly codedRing?: SetupState['codedRing'];
  readonly pointerPx?: SetupState['pointerPx'];
  readonly pointer?: { readonly atPx: readonly [number, number]; readonly at: number } | null;
  readonly lengths: readonly number[];
  readonly map: { readonly rim: SetupState['rim']; readonly kx: number; readonly ky: number };
  readonly referenceRing: StripPlace;
  readonly referenceFace: StripPlace;
  readonly background: {
    readonly points: number[];
    readonly widthPx: number;
    readonly heightPx: number;
    readonly at: number;
  } | null;
  readonly calibration:
    | (Omit<CalibrationState, 'parameters' | 'covariance' | 'keyframes' | 'toldApartBy'> & {
        readonly toldApartBy?: { readonly quarters: readonly number[]; readonly at: number } | null;
        readonly parameters: number[];
        readonly covariance: number[];
        readonly keyframes: readonly Flat<Keyframe>[];
      })
    | null;
}

/** Null where the bytes are not a set-up of this version. */
export function restoreState(bytes: Uint8Array): SetupState | null {
  for (let i = 0; i < mark.length; i++) if (bytes[i] !== mark.charCodeAt(i)) return null;
  if (bytes.length < mark.length + 4) return null;
  const jsonLength = new DataView(bytes.buffer, bytes.byteOffset).getUint32(mark.length);
  const start = mark.length + 4;
  if (start + jsonLength > bytes.length) return null;
  let head: Head;
  try {
    head = JSON.parse(fromUtf8(bytes.subarray(start, start + jsonLength))) as Head;
  } catch {
    return null;
  }
  const offsets: number[] = [];
  let o = start + jsonLength;
  for (const l of head.lengths) {
    offsets.push(o);
    o += l;
  }
  if (o !== bytes.length) return null;
  const block = (i: number): Uint8Array =>
    bytes.subarray(offsets[i] as number, (offsets[i] as number) + (head.lengths[i] as number));
  const strip = (p: StripPlace): Strip => ({
    rowCount: p.rows,
    values: Float32Array.from(block(p.at), (v) => (v - 128) / valueScale),
    valid: Uint8Array.from(block(p.at + 1)),
    contrast: Float32Array.from(block(p.at + 2), (v) => v / 4),
    level: Float32Array.from(block(p.at + 3)),
    polarityFree: p.free,
  });
  if ((head.lengths[head.referenceRing.at] as number) !== head.referenceRing.rows * ringColumns) return null;
  const { lengths: _, background, calibration, map, pointer = null, ...rest } = head;
  const restored: Background | null =
    background === null
      ? null
      : {
          pointsPx: Float32Array.from(background.points),
          widthPx: background.widthPx,
          heightPx: background.heightPx,
          grey: Uint8Array.from(block(background.at)),
        };
  return {
    ...rest,
    // Set-ups kept before there were coded rings or watched pointers don't speak of them.
    codedRing: head.codedRing ?? null,
    pointerPx: head.pointerPx ?? null,
    pointer: pointer === null ? null : { atPx: pointer.atPx, band: Uint8Array.from(block(pointer.at)) },
    kind: 'portsight-wheel-setup',
    map: ringMap(map.rim, map.kx, map.ky),
    referenceRing: strip(head.referenceRing),
    referenceFace: strip(head.referenceFace),
    background: restored,
    calibration:
      calibration === null
        ? null
        : {
            ...calibration,
            parameters: Float64Array.from(calibration.parameters),
            covariance: Float64Array.from(calibration.covariance),
            // Nor do older ones of odd marks.
            toldApartBy:
              calibration.toldApartBy == null
                ? null
                : {
                    quarters: calibration.toldApartBy.quarters,
                    places: Uint8Array.from(block(calibration.toldApartBy.at)),
                  },
            keyframes: calibration.keyframes.map((k): Keyframe => ({ ...k, ring: strip(k.ring), face: strip(k.face) })),
          },
  };
}

/** The head is plain ASCII JSON: names and numbers only. */
function utf8(text: string): Uint8Array {
  return Uint8Array.from({ length: text.length }, (_, i) => text.charCodeAt(i));
}

function fromUtf8(bytes: Uint8Array): string {
  let text = '';
  for (let i = 0; i < bytes.length; i += 4096) text += String.fromCharCode(...bytes.subarray(i, i + 4096));
  return text;
}
