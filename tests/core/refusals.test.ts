import { describe, expect, test } from 'vitest';
import { projectedArea } from '../../core/area/time-area.ts';
import { quantityById } from '../../core/catalogue.ts';
import { countOf } from '../../core/checks.ts';
import { stopDepthFromArc } from '../../core/crank/dead-centre.ts';
import { crankFrom } from '../../core/crank/geometry.ts';
import { eccentricityError, parallaxError } from '../../core/crank/wheel-errors.ts';
import { possibleMeanings } from '../../core/crank/wheel-scale.ts';
import { boreForm, pistonClearance } from '../../core/fits/bore.ts';
import { ringGapTaper } from '../../core/fits/rings.ts';
import { depthFromDuration, depthWithUncertainty, withoutBlade } from '../../core/ports/edge-height.ts';
import { blowdownFromDurations, discIntakeEvents, portEvents } from '../../core/ports/events.ts';
import { simulatedEdgeDepth } from '../../core/ports/simulated.ts';
import { arcToChord, bridgedPortWidths, chordToArc } from '../../core/ports/widths.ts';
import { blowdownAdvice } from '../../core/rules-of-thumb/trade-figures.ts';
import { tunedLength } from '../../core/rules-of-thumb/tuned-length.ts';
import { squishPlane, squishStatistics } from '../../core/squish/readings.ts';
import { squishVelocityAt } from '../../core/squish/velocity.ts';
import { circularMean, meanOfRepeats, unwrapped } from '../../core/uncertainty/circular.ts';
import { combine } from '../../core/uncertainty/combine.ts';
import { conformity } from '../../core/uncertainty/conformity.ts';
import { durationByRepeats, eventAngle, sessionScatter } from '../../core/uncertainty/event-budget.ts';
import { seededGenerator } from '../../core/uncertainty/generator.ts';
import { propagate } from '../../core/uncertainty/propagate.ts';
import { doubtOfDeviation, typeA } from '../../core/uncertainty/type-a.ts';
import { typeB } from '../../core/uncertainty/type-b.ts';
import { clearanceVolume } from '../../core/volumes/ratio.ts';
import { simulatedRatio } from '../../core/volumes/simulated.ts';
import { checkCase } from '../../electron/cli/check-numbers.ts';
import { keptCases } from '../support/reference-numbers.ts';
import { refusal } from '../support/refusal.ts';

const geometry = { strokeMm: 54, rodLengthMm: 110 };
const crank = crankFrom(geometry);
const quick = { generator: seededGenerator(1), trials: 200_000 };
const chamber = {
  geometry,
  boreMm: 54,
  bowlDiameterMm: 36,
  squishMm: 1,
  clearanceVolumeCc: 10,
  speedRpm: 9000,
};
const sizes = { boreMm: 54, strokeMm: 54, clearanceVolumeCc: 1, uBoreMm: 0, uStrokeMm: 0, uClearanceCc: 5 };

/** Everything that reaches the screen when an entry is refused: each sentence says what, where, and how to mend it. */
const calls: readonly (() => unknown)[] = [
  () => possibleMeanings(400),
  () => stopDepthFromArc(crank, -1),
  () => eccentricityError(100, 90, 0, 0),
  () => parallaxError(3, 95, 100),
  () => pistonClearance([], [], 54),
  () => boreForm([54], [54]),
  () => ringGapTaper([0.3]),
  () => depthWithUncertainty(geometry, 190, 0.1),
  () => depthFromDuration(geometry, 400),
  () => withoutBlade(crank, 'crown', 'opens', 1, 0.5),
  () => simulatedEdgeDepth(geometry, 200, 0.1, quick),
  () => arcToChord(54, 200),
  () => chordToArc(54, 60),
  () => bridgedPortWidths(54, 30, 31),
  () => blowdownFromDurations(400, 120),
  () => blowdownFromDurations(180, -1),
  () => discIntakeEvents(400, 10),
  () => discIntakeEvents(100, 400),
  () => portEvents(190, 90),
  () => portEvents(90, 190),
  () => projectedArea(100, 95, 0),
  () => projectedArea(100, 0, 95),
  () => blowdownAdvice(400),
  () => tunedLength(400, 500, 9000),
  () => squishStatistics([1]),
  () => squishPlane([1, 1], [0, 90], 20, 54),
  () => squishPlane([1, 1, 1], [0, 90], 20, 54),
  () => squishVelocityAt(chamber, 95),
  () => squishVelocityAt({ ...chamber, taperDeg: 89.5 }, 5),
  () => circularMean([]),
  () => circularMean([0, 180]),
  () => meanOfRepeats([]),
  () => unwrapped([0, 180]),
  () => combine({ sensitivities: [], uncertainties: [] }),
  () =>
    combine({
      sensitivities: [1, 1],
      uncertainties: [1, 1],
      correlations: [
        [1, 2],
        [2, 1],
      ],
    }),
  () =>
    combine({
      sensitivities: [1, 1],
      uncertainties: [1, 1],
      correlations: [
        [1, 0],
        [0.5, 1],
      ],
    }),
  () =>
    combine({
      sensitivities: [1, 1, 1],
      uncertainties: [1, 1, 1],
      correlations: [
        [1, -1, -1],
        [-1, 1, -1],
        [-1, -1, 1],
      ],
    }),
  () => combine({ sensitivities: [1], uncertainties: [1], degreesOfFreedom: [1, 2] }),
  () => combine({ sensitivities: [1, 1], uncertainties: [1, 1], degreesOfFreedom: [1, 0] }),
  () => combine({ sensitivities: [1, 1], uncertainties: [1, -1] }),
  () => combine({ sensitivities: [1, 1], uncertainties: [1, 1], correlations: [[1, 0]] }),
  () => combine({ sensitivities: [1, 1], uncertainties: [1, 1], correlations: [[1, 0], [0]] }),
  () => countOf('count', 1.5),
  () => quantityById('nothing'),
  () => propagate(() => 1, [{ name: 'depth', value: 1, sigma: -1, degreesOfFreedom: null, route: 'repeats' }]),
  () => conformity({ value: 1, expanded: 1 }),
  () => conformity({ value: 1, expanded: 1, lower: 2, upper: 1 }),
  () => eventAngle({ forwards: [], backwards: [] }, sessionScatter([])),
  () => durationByRepeats([1], [2, 3], 1, 2),
  () =>
    propagate(() => typeA([]).mean, [{ name: 'depth', value: 1, sigma: 1, degreesOfFreedom: null, route: 'repeats' }]),
  () =>
    propagate(
      ([x = 0]) => (x === 1 ? 1 : typeA([]).mean),
      [{ name: 'depth', value: 1, sigma: 1, degreesOfFreedom: null, route: 'repeats' }],
    ),
  () => doubtOfDeviation(1),
  () => typeA([1]),
  () => typeB(1, 'square' as 'arcsine'),
  () => clearanceVolume({ headVolumeCc: 3, boreMm: 54, domeVolumeCc: 4 }),
  () => simulatedRatio(sizes, quick),
];

describe('the sentence that reaches the screen', () => {
  test('of every refused call', () => {
    expect(calls.map((call) => `${refusal(call).code}: ${refusal(call).message}`)).toMatchSnapshot();
  });

  test('of every refused reference case', () => {
    const refused = keptCases().filter(({ expected }) => 'error' in expected);
    expect(refused.map((reference) => `${reference.id}: ${checkCase(reference).remark}`)).toMatchSnapshot();
  });

  test('never shows a missing piece, a bare code or an endless fraction', () => {
    const sentences = [
      ...calls.map((call) => refusal(call).message),
      ...keptCases()
        .filter(({ expected }) => 'error' in expected)
        .map((reference) => checkCase(reference).remark),
    ];
    for (const sentence of sentences) {
      expect(sentence).not.toMatch(/undefined|\[object|NaN deg|_|\d\.\d{10}/);
      expect(sentence).toMatch(/^[A-Z].*[.:;] ?.*\.$/);
    }
  });
});
