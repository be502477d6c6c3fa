import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { ringBits } from '../../../../core/wheel/coded/ring-code.ts';
import { faceRadii, scaleValueAt, wheelFace } from '../../../../core/wheel/coded/wheel-face.ts';
import {
  leastDiameterMm,
  mostDiameterMm,
  paperNames,
  papers,
  type SheetShape,
  wheelSheet,
} from '../../../../core/wheel/coded/wheel-sheet.ts';
import { refusal } from '../../../support/refusal.ts';

describe('the face of the printed wheel', () => {
  test('there is a tick at every degree, longer at fives and tens, and a number at every ten', () => {
    const { ticks, numerals } = wheelFace('clockwise');
    expect(ticks.map((t) => Math.round((t.fromDeg + t.toDeg) / 2))).toEqual(Array.from({ length: 360 }, (_, i) => i));
    const lengthAt = (deg: number): number => faceRadii.ticksOuter - (ticks[deg]?.inner ?? 0);
    expect(lengthAt(10)).toBeGreaterThan(lengthAt(5));
    expect(lengthAt(5)).toBeGreaterThan(lengthAt(1));
    expect(numerals.map((n) => `${n.text}@${n.atDeg}`).slice(0, 3)).toEqual(['0@0', '10@10', '20@20']);
    expect(wheelFace('anticlockwise').numerals[1]).toEqual({ text: '10', atDeg: 350 });
  });

  test.each(['clockwise', 'anticlockwise'] as const)(
    'at every cell of the %s face exactly one track is dark',
    (grows) => {
      const { cells } = wheelFace(grows);
      const darkOutside = (deg: number): boolean[] =>
        cells
          .filter((c) => [0, 360].some((turn) => c.fromDeg <= deg + turn && deg + turn < c.toDeg))
          .map((c) => c.outer === faceRadii.codeOuter);
      for (let cell = 0; cell < 180; cell++)
        for (const within of [0.1, 1, 1.9])
          expect(darkOutside(2 * cell + within)).toEqual([(ringBits[cell] === 1) === (grows === 'clockwise')]);
    },
  );

  test('a place on the face reads as the numerals do', () => {
    for (const grows of ['clockwise', 'anticlockwise'] as const)
      for (const { text, atDeg } of wheelFace(grows).numerals) expect(scaleValueAt(atDeg, grows)).toBe(Number(text));
    expect(scaleValueAt(-0.25, 'clockwise')).toBeCloseTo(359.75, 12);
    expect(refusal(() => scaleValueAt(Number.NaN, 'clockwise')).code).toBe('missing');
  });
});

/** Outermost points of a shape; a letter of text is taken as half as wide as high. */
function reachOf(shape: SheetShape): readonly (readonly [number, number])[] {
  switch (shape.kind) {
    case 'line':
      return [shape.fromMm, shape.toMm];
    case 'circle':
    case 'piece': {
      const [x, y] = shape.centreMm;
      const r = shape.kind === 'circle' ? shape.radiusMm : shape.outerMm;
      return [
        [x - r, y - r],
        [x + r, y + r],
      ];
    }
    case 'text': {
      const length = 0.5 * shape.sizeMm * shape.text.length;
      const t = (shape.turnDeg * Math.PI) / 180;
      const [x, y] = shape.atMm;
      const along = (share: number): [number, number] => [
        x + share * length * Math.cos(t),
        y + share * length * Math.sin(t),
      ];
      return shape.anchor === 'middle' ? [along(-0.5), along(0.5)] : [along(0), along(1)];
    }
  }
}

describe('the sheet', () => {
  test.each(paperNames)('everything on %s lies inside the margins, and the words below the wheel', (paper) => {
    fc.assert(
      fc.property(
        fc.double({ min: leastDiameterMm, max: mostDiameterMm(paper), noNaN: true }),
        fc.constantFrom('clockwise' as const, 'anticlockwise' as const),
        (diameterMm, grows) => {
          const sheet = wheelSheet({ paper, diameterMm, grows });
          for (const shape of sheet.shapes)
            for (const [x, y] of reachOf(shape)) {
              expect(x).toBeGreaterThanOrEqual(5);
              expect(y).toBeGreaterThanOrEqual(5);
              expect(x).toBeLessThanOrEqual(sheet.widthMm - 5);
              expect(y).toBeLessThanOrEqual(sheet.heightMm - 5);
            }
          const bottom = sheet.centreMm[1] + diameterMm / 2;
          for (const shape of sheet.shapes)
            if (shape.kind === 'text' && shape.anchor === 'start')
              expect(shape.atMm[1] - shape.sizeMm).toBeGreaterThan(bottom);
          // The upright bar stands beside the wheel without touching it.
          for (const shape of sheet.shapes)
            if (shape.kind === 'line' && shape.toMm[0] < 20)
              for (const [x, y] of [shape.fromMm, shape.toMm])
                expect(Math.hypot(x - sheet.centreMm[0], y - sheet.centreMm[1])).toBeGreaterThan(diameterMm / 2 + 1);
        },
      ),
      { numRuns: 25 },
    );
  });

  test.each(paperNames)('on %s two bars of the said length stand square to each other', (paper) => {
    const { barMm } = papers[paper];
    const bars = wheelSheet({ paper, grows: 'clockwise' }).shapes.flatMap((s) =>
      s.kind === 'line' ? [[s.toMm[0] - s.fromMm[0], s.toMm[1] - s.fromMm[1]] as const] : [],
    );
    expect(bars).toContainEqual([barMm, 0]);
    expect(bars).toContainEqual([0, barMm]);
  });

  test('a wheel too large for the paper and a hole too large for the ring are refused by name', () => {
    expect(refusal(() => wheelSheet({ paper: 'a4', diameterMm: 250, grows: 'clockwise' }))).toMatchObject({
      code: 'out_of_range',
      field: 'diameterMm',
    });
    expect(refusal(() => wheelSheet({ paper: 'a3', diameterMm: 120, boreMm: 61, grows: 'clockwise' }))).toMatchObject({
      code: 'out_of_range',
      field: 'boreMm',
    });
  });
});
