import { expect, test } from 'vitest';
import { checkPointer, markPointer } from '../../../core/wheel/pointer-watch.ts';
import { restoreState, serialiseState } from '../../../core/wheel/serialise.ts';
import type { SetupState } from '../../../core/wheel/state.ts';
import type { GreyPicture, RimEllipse } from '../../../core/wheel/types.ts';
import { PointerWatch } from '../../../renderer/wheel-worker/pointer-watch.ts';
import { Random } from '../../support/random.ts';

const [widthPx, heightPx] = [1280, 720];
const rim: RimEllipse = { centrePx: [640, 360], fullAxesPx: [540, 510], angleDeg: 20 };
const mean = 262;

interface Scene {
  /** Where the pointer crosses the rim, degrees clockwise from straight right; null for none. */
  readonly pointerDeg: number | null;
  readonly turnedDeg?: number;
  readonly brightness?: number;
  readonly handAtDeg?: number;
  readonly shiftPx?: number;
  readonly seed?: number;
  /** Grey level of the pointer; what is behind it lies between 60 and 110. */
  readonly level?: number;
}

/** A wheel with ticks that turn, a pointer of wire over a mottled case that stands, noise and now and then a hand. */
function picture(scene: Scene): GreyPicture {
  const random = new Random(scene.seed ?? 1);
  const data = new Uint8Array(widthPx * heightPx);
  const shift = scene.shiftPx ?? 0;
  const gain = scene.brightness ?? 1;
  for (let y = 0; y < heightPx; y++) {
    for (let x = 0; x < widthPx; x++) {
      const dx = x - 640 - shift;
      const dy = y - 360;
      const radius = Math.hypot(dx, dy);
      const deg = (Math.atan2(dy, dx) * 180) / Math.PI;
      let level = 85 + 12 * Math.sin(dx / 23) + 10 * Math.sin(dy / 31 + dx / 57);
      if (radius < mean) level = 170 + 40 * Math.sign(Math.sin(((deg - (scene.turnedDeg ?? 0)) * Math.PI) / 1));
      const wire = scene.pointerDeg === null ? Infinity : (((deg - scene.pointerDeg + 540) % 360) - 180) * radius;
      if (radius > 0.9 * mean && radius < 1.4 * mean && Math.abs(wire) < (3 * 180) / Math.PI)
        level = scene.level ?? 190;
      if (scene.handAtDeg !== undefined && Math.abs(deg - scene.handAtDeg) < 9) level = 140 + 8 * Math.sin(dx / 7);
      data[y * widthPx + x] = Math.max(0, Math.min(255, gain * level + 3 * random.normal()));
    }
  }
  return { widthPx, heightPx, stride: widthPx, data };
}

const at = (deg: number): readonly [number, number] => [
  640 + mean * Math.cos((deg * Math.PI) / 180),
  360 + mean * Math.sin((deg * Math.PI) / 180),
];

function marked(scene: Scene, deg: number) {
  const mark = markPointer(picture(scene), rim, at(deg));
  if (mark === null) throw new Error('not marked');
  return mark;
}

test.each([-70, 15, 160])('a pointer at %s degrees stays where it is while wheel and light change', (deg) => {
  const mark = marked({ pointerDeg: deg }, deg);
  for (const scene of [{ turnedDeg: 77 }, { brightness: 0.6 }, { brightness: 1.2 }, { shiftPx: 0.9 }]) {
    const seen = checkPointer(mark, picture({ pointerDeg: deg, seed: 5, ...scene }), rim);
    expect(seen.state).toBe('there');
    expect(Math.abs(seen.shiftDeg ?? 9)).toBeLessThan(0.3);
  }
});

test.each([190, 20])('moves of the pointer (grey level %s) are noticed and measured, either way', (level) => {
  const mark = marked({ pointerDeg: -70, level }, -70);
  for (const moveDeg of [-4, -2, -1, 1, 2, 4]) {
    const seen = checkPointer(mark, picture({ pointerDeg: -70 + moveDeg, level, seed: 6, turnedDeg: 31 }), rim);
    expect(seen.state, `${moveDeg}`).toBe('moved');
    expect(Math.abs((seen.shiftDeg ?? 99) - moveDeg), `${moveDeg}`).toBeLessThan(0.25);
  }
});

test('a mark a little beside the wire still finds it; a hand, or a pointer that is gone, is no move', () => {
  const mark = marked({ pointerDeg: -70 }, -69);
  expect(checkPointer(mark, picture({ pointerDeg: -72, seed: 8 }), rim).state).toBe('moved');
  expect(checkPointer(mark, picture({ pointerDeg: -70, handAtDeg: -70, seed: 8 }), rim).state).toBe('not_seen');
  expect(checkPointer(mark, picture({ pointerDeg: null, seed: 8 }), rim).state).toBe('not_seen');
  expect(checkPointer(mark, picture({ pointerDeg: -55, seed: 8 }), rim).state).toBe('not_seen');
});

test('nothing is marked where nothing stands out, where the band repeats, and at the border of the picture', () => {
  expect(markPointer(picture({ pointerDeg: null }), rim, at(40))).toBeNull();
  const large: RimEllipse = { ...rim, fullAxesPx: [700, 700] };
  expect(markPointer(picture({ pointerDeg: -90 }), large, [640, 10])).toBeNull();
  const fins = picture({ pointerDeg: null });
  for (let y = 0; y < heightPx; y++)
    for (let x = 0; x < widthPx; x++) {
      const deg = (Math.atan2(y - 360, x - 640) * 180) / Math.PI;
      fins.data[y * widthPx + x] = 100 + 60 * Math.sign(Math.sin(deg * Math.PI * 0.6));
    }
  expect(markPointer(fins, rim, at(-70))).toBeNull();
});

test('the mark is kept with the set-up, and a set-up kept before there were marks has none', () => {
  const pointer = marked({ pointerDeg: 15 }, 15);
  const strip = {
    rowCount: 1,
    values: new Float32Array(2048),
    valid: new Uint8Array(2048),
    contrast: new Float32Array(2048),
    level: new Float32Array(2048),
    polarityFree: false,
  };
  const state = {
    kind: 'portsight-wheel-setup',
    rim,
    map: { rim, kx: 0, ky: 0 },
    referenceRing: strip,
    referenceFace: strip,
    background: null,
    calibration: null,
    codedRing: null,
    pointer,
    pointerPx: pointer.atPx,
  } as unknown as SetupState;
  const restored = restoreState(serialiseState(state));
  expect(restored?.pointer).toEqual(pointer);
  expect(restored?.pointerPx).toEqual(pointer.atPx);
  const { pointer: _pointer, pointerPx: _place, ...before } = state;
  expect(restoreState(serialiseState({ ...before, pointer: null } as SetupState))).toMatchObject({
    pointer: null,
    pointerPx: null,
  });
});

test('news of the pointer is what lasts: a hand that passes is none, a move is said once', () => {
  const watch = new PointerWatch();
  const there = { state: 'there', shiftDeg: 0 } as const;
  const hidden = { state: 'not_seen', shiftDeg: null } as const;
  const moved = (shiftDeg: number) => ({ state: 'moved', shiftDeg }) as const;
  const said = (looks: readonly Parameters<PointerWatch['look']>[0][]) =>
    looks.map((look) => watch.look(look)).filter((news) => news !== null);
  expect(said([there, there, hidden, hidden, moved(3), there])).toEqual([{ state: 'there' }]);
  expect(said([moved(1.2), moved(1.25)])).toEqual([]);
  expect(said([moved(1.2), moved(1.21), moved(1.2)])).toEqual([{ state: 'moved', shiftDeg: 1.2 }]);
  expect(said([moved(2.5), moved(2.5), moved(2.6)])).toEqual([{ state: 'moved', shiftDeg: 2.6 }]);
  expect(said(Array.from({ length: 12 }, () => hidden))).toEqual([{ state: 'not_seen' }]);
  expect(said([there])).toEqual([{ state: 'there' }]);
});
