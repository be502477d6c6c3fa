import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { crankFrom, depthAt } from '../../../core/crank/geometry.ts';
import {
  depthFromDeck,
  depthFromDuration,
  depthWithUncertainty,
  durationSlope,
  eventsFromDepth,
  skirtEventsFromDepth,
  withoutBlade,
} from '../../../core/ports/edge-height.ts';
import { arcToChord, bridgedPortWidths, chordToArc } from '../../../core/ports/widths.ts';
import { crankGeometries, finite, straightCranks } from '../../support/generators.ts';
import { refusal, refused } from '../../support/refusal.ts';

const geometry = { strokeMm: 54, rodLengthMm: 110 };

describe('port height and angle', () => {
  test('duration from height undoes height from duration, offset or not', () => {
    fc.assert(
      fc.property(crankGeometries, finite(5, 355), (crank, duration) => {
        const { edgeDepthMm, edgeHeightAboveBdcMm } = depthFromDuration(crank, duration);
        expect(eventsFromDepth(crank, edgeDepthMm).durationDeg).toBeCloseTo(duration, 7);
        expect(edgeDepthMm + edgeHeightAboveBdcMm).toBeCloseTo(crankFrom(crank).travelMm, 9);
      }),
    );
  });

  test('without offset opening and closing mirror each other', () => {
    fc.assert(
      fc.property(straightCranks, finite(0.02, 0.98), (crank, part) => {
        const events = eventsFromDepth(crank, part * crank.strokeMm);
        expect(events.openAtdcDeg).toBeCloseTo(events.closeBtdcDeg, 9);
        expect(events.durationDeg).toBeCloseTo(2 * (180 - events.openAtdcDeg), 9);
      }),
    );
  });

  test('a deeper roof opens later and for less', () => {
    fc.assert(
      fc.property(crankGeometries, finite(0.02, 0.9), finite(0.001, 0.05), (crank, part, more) => {
        const { travelMm } = crankFrom(crank);
        const high = eventsFromDepth(crank, part * travelMm);
        const low = eventsFromDepth(crank, (part + more) * travelMm);
        expect(low.openAtdcDeg).toBeGreaterThan(high.openAtdcDeg);
        expect(low.durationDeg).toBeLessThan(high.durationDeg);
      }),
    );
  });

  test('the slope of the duration is that of its change', () => {
    fc.assert(
      fc.property(crankGeometries, finite(0.1, 0.9), (crank, part) => {
        const prepared = crankFrom(crank);
        const depth = part * prepared.travelMm;
        const change =
          eventsFromDepth(crank, depth + 1e-4).durationDeg - eventsFromDepth(crank, depth - 1e-4).durationDeg;
        expect(durationSlope(prepared, depth)).toBeCloseTo(change / 2e-4, 3);
      }),
    );
    const at = (duration: number) =>
      durationSlope(crankFrom(geometry), depthFromDuration(geometry, duration).edgeDepthMm);
    expect([at(193).toFixed(1), at(127).toFixed(1)]).toEqual(['-4.2', '-5.3']);
  });

  test('borders of the travel and of the turn are outside', () => {
    for (const bad of [0, 54, -1, 55])
      expect(refused(() => eventsFromDepth(geometry, bad))).toBe('out_of_range edgeDepthMm');
    for (const bad of [0, 360])
      expect(refused(() => depthFromDuration(geometry, bad))).toBe('out_of_range durationDeg');
    expect(refused(() => eventsFromDepth(geometry, Number.NaN))).toBe('missing edgeDepthMm');
    expect(refusal(() => eventsFromDepth(geometry, 60)).message).toBe(
      'Edge depth is 60 mm; it must be between 0 and 54 mm, both excluded: outside the travel the port never opens, or never shuts.',
    );
  });

  test('a depth from the deck takes the sign of the crown', () => {
    expect(depthFromDeck(26, 0.2)).toBeCloseTo(25.8, 12);
    expect(depthFromDeck(26, -0.2)).toBeCloseTo(26.2, 12);
    expect(refused(() => depthFromDeck(Number.NaN, 0))).toBe('missing fromDeckMm');
    expect(refused(() => depthFromDeck(1, Number.NaN))).toBe('missing deckMm');
  });

  test('the skirt opens going up and shuts going down', () => {
    const offset = { strokeMm: 50, rodLengthMm: 100, offsetMm: 1 };
    const events = skirtEventsFromDepth(offset, 70, 55);
    const crank = crankFrom(offset);
    expect(depthAt(crank, -events.openBtdcDeg)).toBeCloseTo(15, 9);
    expect(depthAt(crank, events.closeAtdcDeg)).toBeCloseTo(15, 9);
    expect(events.durationDeg).toBeCloseTo(events.openBtdcDeg + events.closeAtdcDeg, 9);
    expect(refused(() => skirtEventsFromDepth(geometry, 48, 48))).toBe('out_of_range portFloorDepthMm');
    expect(refused(() => skirtEventsFromDepth(geometry, 102, 48))).toBe('out_of_range portFloorDepthMm');
    expect(skirtEventsFromDepth(geometry, 48.001, 48).durationDeg).toBeGreaterThan(0);
    expect(skirtEventsFromDepth(geometry, 101.999, 48).durationDeg).toBeLessThan(360);
    expect(refused(() => skirtEventsFromDepth(geometry, 0, 48))).toBe('non_positive portFloorDepthMm');
    expect(refused(() => skirtEventsFromDepth(geometry, 60, 0))).toBe('non_positive skirtLengthMm');
    expect(refusal(() => skirtEventsFromDepth(geometry, 120, 48)).message).toBe(
      'Port floor depth is 120 mm; it must be more than 48 and less than 102 mm with this skirt: otherwise the skirt never opens, or never shuts, the port.',
    );
  });

  test('an uncertain angle is an uncertain height', () => {
    const { edgeDepthMm, sensitivityMmPerDeg, standardUncertaintyMm } = depthWithUncertainty(geometry, 100, 0.1);
    const crank = crankFrom(geometry);
    expect(edgeDepthMm).toBe(depthAt(crank, 100));
    expect(sensitivityMmPerDeg).toBeCloseTo((depthAt(crank, 100.01) - depthAt(crank, 99.99)) / 0.02, 6);
    expect(standardUncertaintyMm).toBeCloseTo(0.1 * sensitivityMmPerDeg, 12);
    expect(refused(() => depthWithUncertainty(geometry, 180, 0.1))).toBe('out_of_range openAtdcDeg');
    expect(refused(() => depthWithUncertainty(geometry, 100, -0.1))).toBe('negative angleUncertaintyDeg');
  });
});

describe('a blade in the gap', () => {
  const crank = crankFrom({ strokeMm: 54, rodLengthMm: 110, offsetMm: 0.5 });

  test('is computed out: the bare edge comes back on every edge of crown and skirt', () => {
    fc.assert(
      fc.property(finite(0.2, 0.8), finite(0.001, 1), (part, blade) => {
        const depth = part * crank.travelMm;
        const at = (control: 'crown' | 'skirt', edge: 'opens' | 'closes', thick: number) => {
          const events = eventsFromDepth(
            { strokeMm: 54, rodLengthMm: 110, offsetMm: 0.5 },
            depth + (control === 'crown' ? thick : -thick),
          );
          const isDown = (control === 'crown') === (edge === 'opens');
          return isDown ? events.openAtdcDeg : 360 - events.closeBtdcDeg;
        };
        for (const control of ['crown', 'skirt'] as const) {
          for (const edge of ['opens', 'closes'] as const) {
            expect(withoutBlade(crank, control, edge, at(control, edge, blade), blade)).toBeCloseTo(
              at(control, edge, 0),
              8,
            );
          }
        }
      }),
    );
  });

  test('makes an opening late: about half a degree for a quarter of a millimetre at the exhaust', () => {
    expect(88 - withoutBlade(crank, 'crown', 'opens', 88, 0.25)).toBeCloseTo(0.52, 1);
    expect(withoutBlade(crank, 'crown', 'opens', 88, 0)).toBe(88);
    expect(refused(() => withoutBlade(crank, 'crown', 'opens', 2, 0.5))).toBe('out_of_range bladeMm');
    expect(refused(() => withoutBlade(crank, 'crown', 'opens', 88, -0.5))).toBe('negative bladeMm');
    expect(refused(() => withoutBlade(crank, 'crown', 'opens', Number.NaN, 0))).toBe('missing readAtdcDeg');
  });
});

describe('chord and arc', () => {
  test('chord from arc undoes arc from chord, and an arc is never shorter', () => {
    fc.assert(
      fc.property(finite(20, 100), finite(0.01, 0.999), (bore, part) => {
        const { arcMm, subtendedAngleDeg } = chordToArc(bore, part * bore);
        const back = arcToChord(bore, arcMm);
        expect(back.chordMm).toBeCloseTo(part * bore, 9);
        expect(back.subtendedAngleDeg).toBeCloseTo(subtendedAngleDeg, 9);
        expect(arcMm).toBeGreaterThanOrEqual(part * bore);
      }),
    );
  });

  test('nothing is wider than the bore', () => {
    expect(chordToArc(54, 54 + 1e-10).subtendedAngleDeg).toBe(180);
    expect(refused(() => chordToArc(54, 54.001))).toBe('out_of_range chordMm');
    expect(refused(() => chordToArc(54, 0))).toBe('non_positive chordMm');
    expect(refused(() => chordToArc(0, 10))).toBe('non_positive boreMm');
    expect(refused(() => arcToChord(54, 54 * Math.PI))).toBe('out_of_range arcMm');
    expect(arcToChord(54, 54 * Math.PI - 1e-6).chordMm).toBeLessThan(1e-5);
    expect(refused(() => arcToChord(54, 0))).toBe('non_positive arcMm');
    expect(refused(() => arcToChord(0, 10))).toBe('non_positive boreMm');
  });

  test('a bridge takes its own arc out', () => {
    const { openChordTotalMm, openArcTotalMm, oneWindowArcMm } = bridgedPortWidths(54, 40, 4);
    expect(openChordTotalMm).toBe(36);
    expect(openArcTotalMm).toBeCloseTo(chordToArc(54, 40).arcMm - chordToArc(54, 4).arcMm, 12);
    expect(oneWindowArcMm).toBeCloseTo(openArcTotalMm / 2, 12);
    expect(refused(() => bridgedPortWidths(54, 40, 40))).toBe('inconsistent bridgeChordMm');
    expect(refused(() => bridgedPortWidths(54, 55, 4))).toBe('out_of_range overallChordMm');
    expect(refused(() => bridgedPortWidths(54, 0, 4))).toBe('non_positive overallChordMm');
    expect(refused(() => bridgedPortWidths(54, 40, 0))).toBe('non_positive bridgeChordMm');
    expect(refused(() => bridgedPortWidths(0, 40, 4))).toBe('non_positive boreMm');
  });
});
