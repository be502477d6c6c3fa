import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  type AngleRead,
  afterTdc,
  budgetDefaults,
  directionDifferenceOf,
  directionQuestion,
  durationByRepeats,
  durationOf,
  type EdgeReadings,
  eventAngle,
  leadOf,
  placementScatter,
  readingsWorth,
  sessionScatter,
  sessionSlack,
  typedReaderSigma,
} from '../../../core/uncertainty/event-budget.ts';
import { normalFrom, seededGenerator } from '../../../core/uncertainty/generator.ts';
import { exactly, valueWith } from '../../../core/uncertainty/value.ts';
import { wrapTurn } from '../../../core/units.ts';
import { finite } from '../../support/generators.ts';
import { refused } from '../../support/refusal.ts';

const camera = (angleDeg: number, readerSigmaDeg = 0.02): AngleRead => ({ angleDeg, readerSigmaDeg, reader: 'camera' });
const typed = (angleDeg: number): AngleRead => ({ angleDeg, readerSigmaDeg: typedReaderSigma(0.5), reader: 'typed' });
const edge = (forwards: number[], backwards: number[]): EdgeReadings => ({
  forwards: forwards.map((angle) => camera(angle)),
  backwards: backwards.map((angle) => camera(angle)),
});

describe('placement scatter', () => {
  test('a session without repeats uses the default', () => {
    const scatter = placementScatter([edge([83], [82.5]), edge([277], [])]);
    expect(scatter).toEqual({ sigmaDeg: 0.25, degreesOfFreedom: 3, fromRepeats: 0, usesPrior: true });
    expect(placementScatter([])).toEqual(scatter);
  });

  test('from three degrees of freedom on the session speaks for itself', () => {
    const scatter = placementScatter([edge([83, 83.2], [82, 82.4]), edge([277, 277.1], [])]);
    const squares = 2 * 0.1 ** 2 + 2 * 0.2 ** 2 + 2 * 0.05 ** 2;
    expect(scatter.sigmaDeg).toBeCloseTo(Math.sqrt(squares / 3), 9);
    expect(scatter).toMatchObject({ degreesOfFreedom: 3, fromRepeats: 3, usesPrior: false });
  });

  test('in between the default makes up the degrees of freedom that are missing', () => {
    const scatter = placementScatter([edge([83, 83.2], [])]);
    expect(scatter.sigmaDeg).toBeCloseTo(Math.sqrt((2 * 0.1 ** 2 + 2 * 0.25 ** 2) / 3), 12);
    expect(scatter).toMatchObject({ degreesOfFreedom: 3, fromRepeats: 1, usesPrior: true });
  });

  test('repeats on both sides of zero belong together', () => {
    expect(placementScatter([edge([359.9, 0.1], [0.1, 359.9]), edge([10, 10.2], [])]).sigmaDeg).toBeCloseTo(
      Math.sqrt((2 * 0.1 ** 2 * 3) / 3),
      9,
    );
  });

  test('the defaults are adjustable and must be positive', () => {
    const scatter = placementScatter([], { ...budgetDefaults, placementPriorDeg: 0.1 });
    expect(scatter.sigmaDeg).toBeCloseTo(0.1, 15);
    expect(refused(() => placementScatter([], { ...budgetDefaults, placementPriorDeg: 0 }))).toBe(
      'non_positive placementPriorDeg',
    );
    expect(refused(() => placementScatter([], { ...budgetDefaults, placementPriorDegreesOfFreedom: 0 }))).toBe(
      'non_positive placementPriorDegreesOfFreedom',
    );
    expect(budgetDefaults).toEqual({
      placementPriorDeg: 0.25,
      placementPriorDegreesOfFreedom: 3,
      slackDeg: 0.5,
      wheelStepDeg: 1,
    });
  });
});

describe('slack', () => {
  test('is the signed median of the direction differences', () => {
    expect(sessionSlack([edge([84], [83.5]), edge([277.4], [277]), edge([118], [117])])).toBeCloseTo(0.5, 9);
    expect(sessionSlack([edge([84], [83.5]), edge([277.4], [277])])).toBeCloseTo(0.45, 9);
    expect(sessionSlack([edge([83], [83.5])])).toBeCloseTo(-0.5, 9);
    expect(sessionSlack([edge([84], []), edge([], [3])])).toBeNull();
    expect(sessionSlack([])).toBeNull();
  });

  test('a difference is taken across zero', () => {
    expect(directionDifferenceOf(edge([0.25], [359.75]))).toBeCloseTo(0.5, 9);
    expect(directionDifferenceOf(edge([0.25], []))).toBeNull();
    expect(directionDifferenceOf(edge([], [1]))).toBeNull();
  });
});

describe('event angle', () => {
  const session = sessionScatter([edge([83.6, 83.4, 83.5], [83.1, 82.9, 83])]);

  test('is the mean of the directions, with placement over n and the reader once', () => {
    const event = eventAngle(edge([83.6, 83.4], [83.1, 82.9]), session);
    expect(event.angleDeg.value).toBeCloseTo(83.25, 9);
    expect(event.angleDeg.sigma).toBeCloseTo(Math.hypot(0.1 / 2, 0.02), 9);
    expect(event).toMatchObject({ readings: 4, needsMoreReadings: true });
    expect(event.forwardMeanDeg).toBeCloseTo(83.5, 9);
    expect(event.backwardMeanDeg).toBeCloseTo(83, 9);
    expect(event.directionDifferenceDeg).toBeCloseTo(0.5, 9);
    expect(event.angleDeg.contributions.map(({ from, route }) => `${from}: ${route}`)).toEqual([
      'placement of the edge: repeats',
      'camera reader: instrument',
    ]);
  });

  test('one direction only adds half the slack as a half-width', () => {
    const event = eventAngle(edge([83.5], []), session);
    expect(event.backwardMeanDeg).toBeNull();
    expect(event.angleDeg.sigma).toBeCloseTo(Math.hypot(0.1, 0.25 / Math.sqrt(3), 0.02), 9);
    expect(event.angleDeg.contributions[1]).toMatchObject({ from: 'one direction only', route: 'hysteresis' });
    const unknown = eventAngle(edge([], [83.5]), sessionScatter([]));
    expect(unknown.forwardMeanDeg).toBeNull();
    expect(unknown.angleDeg.sigma).toBeCloseTo(Math.hypot(0.25, 0.25 / Math.sqrt(3), 0.02), 9);
    expect(unknown.angleDeg.contributions[0]?.from).toBe('placement of the edge (with default)');
    const reverse = sessionScatter([edge([83], [83.5])]);
    expect(eventAngle(edge([83], []), reverse).angleDeg.contributions[1]?.effect).toBeCloseTo(0.25 / Math.sqrt(3), 9);
  });

  test('a typed reading has the step of its wheel, which repeats do not shrink', () => {
    const many = { forwards: Array.from({ length: 50 }, () => typed(83.5)), backwards: [] };
    const event = eventAngle(many, sessionScatter([many, edge([84], [84])]));
    expect(event.angleDeg.sigma).toBeCloseTo(0.5 / Math.sqrt(12), 9);
    expect(event.angleDeg.contributions.at(-1)).toMatchObject({ from: 'step of the wheel', route: 'resolution' });
    expect(event.needsMoreReadings).toBe(false);
  });

  test('the reader enters with its mean, each direction alike', () => {
    const event = eventAngle(
      { forwards: [camera(10, 0.03), camera(10, 0.05)], backwards: [camera(10, 0.1)] },
      sessionScatter([]),
    );
    expect(event.angleDeg.contributions.at(-1)?.effect).toBeCloseTo((0.04 + 0.1) / 2, 12);
  });

  test('an edge read both by camera and by eye counts as read by the camera', () => {
    const mixed = eventAngle({ forwards: [camera(10)], backwards: [typed(10)] }, session);
    expect(mixed.angleDeg.contributions.at(-1)).toMatchObject({ from: 'camera reader', route: 'instrument' });
  });

  test('readings either side of zero have their mean at zero', () => {
    const event = eventAngle(edge([359.8], [0.4]), session);
    expect(event.angleDeg.value).toBeCloseTo(0.1, 9);
  });

  test('more readings never widen the uncertainty, and fourfold readings halve the placement', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 8 }), finite(0, 0.1), (n, reader) => {
        const each = (count: number) => Array.from({ length: count }, () => camera(83, reader));
        const few = eventAngle({ forwards: each(n), backwards: each(n) }, session).angleDeg;
        const many = eventAngle({ forwards: each(4 * n), backwards: each(4 * n) }, session).angleDeg;
        expect(many.sigma).toBeLessThanOrEqual(few.sigma);
        expect(many.contributions[0]?.effect).toBeCloseTo((few.contributions[0]?.effect ?? 0) / 2, 12);
      }),
    );
  });

  test('a mean of unequal directions is worth fewer readings, as a simulation shows', () => {
    expect(readingsWorth(3, 3)).toBe(6);
    expect(readingsWorth(4, 0)).toBe(4);
    expect(readingsWorth(0, 2)).toBe(2);
    expect(readingsWorth(1, 3)).toBeCloseTo(3, 12);
    const normal = normalFrom(seededGenerator(11));
    const trials = 20_000;
    let squares = 0;
    for (let trial = 0; trial < trials; trial++) {
      const backward = (normal() + normal() + normal()) / 3;
      squares += ((normal() + backward) / 2) ** 2;
    }
    expect(Math.abs(trials / squares / readingsWorth(1, 3) - 1)).toBeLessThan(0.04);
  });

  test('no reading, no event; a negative reader uncertainty is refused', () => {
    expect(refused(() => eventAngle(edge([], []), session))).toBe('insufficient_data readings');
    expect(refused(() => eventAngle({ forwards: [camera(1, -1)], backwards: [] }, session))).toBe(
      'negative readerSigmaDeg',
    );
    expect(refused(() => typedReaderSigma(0))).toBe('non_positive resolution');
  });
});

describe('after TDC, durations and leads', () => {
  const opens = valueWith(83.5, 0.03, 'opening', 'repeats');
  const closes = valueWith(276.5, 0.04, 'closing', 'repeats');
  const tdc = valueWith(359.5, 0.12, 'stop', 'propagated');

  test('TDC adds its uncertainty to an angle and cancels in a duration', () => {
    const angle = afterTdc(opens, tdc);
    expect(angle.value).toBeCloseTo(84, 9);
    expect(angle.sigma).toBeCloseTo(Math.hypot(0.03, 0.12), 12);
    expect(angle.contributions.map(({ from }) => from)).toEqual(['opening', 'TDC: stop']);
    expect(angle.contributions[1]?.effect).toBe(-0.12);
    const duration = durationOf(opens, closes);
    expect(duration.value).toBeCloseTo(193, 12);
    expect(duration.sigma).toBeCloseTo(0.05, 12);
    expect(duration.contributions.map(({ from, effect }) => [from, effect])).toEqual([
      ['closing: closing', 0.04],
      ['opening: opening', -0.03],
    ]);
    expect(durationOf(exactly(350), exactly(165)).value).toBeCloseTo(175, 12);
  });

  test('a lead is signed', () => {
    const lead = leadOf(exactly(350), valueWith(10, 0.1, 'x', 'repeats'));
    expect(lead.value).toBeCloseTo(20, 12);
    expect(lead.contributions).toEqual([
      { from: 'later event: x', effect: 0.1, degreesOfFreedom: null, route: 'repeats' },
    ]);
    const early = leadOf(valueWith(20, 0.2, 'y', 'repeats'), exactly(10));
    expect(early).toMatchObject({
      value: -10,
      sigma: 0.2,
      contributions: [{ from: 'earlier event: y', effect: -0.2 }],
    });
  });

  test('turning the wheel on its crank changes no duration', () => {
    fc.assert(
      fc.property(finite(0, 359.9), finite(1, 358), finite(-720, 720), (open, duration, turn) => {
        const close = wrapTurn(open + duration);
        const still = durationOf(exactly(open), exactly(close)).value;
        const turned = durationOf(exactly(wrapTurn(open + turn)), exactly(wrapTurn(close + turn))).value;
        expect(turned).toBeCloseTo(still, 8);
      }),
    );
  });
});

describe('question about the directions', () => {
  const quiet = [edge([83.5, 83.6, 83.4], [83, 83.1, 82.9]), edge([277.5, 277.6], [277, 277.1]), edge([117.5], [117])];

  test('common slack raises none', () => {
    const session = sessionScatter(quiet);
    for (const one of quiet) expect(directionQuestion(one, session)?.isQuestionable).toBe(false);
  });

  test('a difference out of line with the session raises one', () => {
    const odd = edge([200], [202]);
    const question = directionQuestion(odd, sessionScatter([...quiet, odd]));
    expect(question?.isQuestionable).toBe(true);
    expect(question?.differenceDeg).toBeCloseTo(-2, 9);
    expect(question?.slackDeg).toBeCloseTo(0.5, 9);
    const s = sessionScatter([...quiet, odd]).placement.sigmaDeg;
    expect(question?.sigmaDeg).toBeCloseTo(Math.sqrt(2 * s ** 2 + 2 * 0.02 ** 2), 12);
  });

  test('repeats make the difference of the directions surer', () => {
    const session = sessionScatter(quiet);
    const sigma = (forwards: number[], backwards: number[]) =>
      directionQuestion(edge(forwards, backwards), session)?.sigmaDeg;
    const s = session.placement.sigmaDeg;
    expect(sigma([10, 10], [10, 10, 10, 10])).toBeCloseTo(Math.sqrt(s ** 2 * (1 / 2 + 1 / 4) + 2 * 0.02 ** 2), 12);
  });

  test('neither a small difference nor one inside its own uncertainty raises any', () => {
    const session = sessionScatter(quiet);
    const { sigmaDeg = 0 } = directionQuestion(edge([10], [10]), session) ?? {};
    const offSlack = (by: number) => directionQuestion(edge([10 + 0.5 + by], [10]), session)?.isQuestionable;
    expect(offSlack(2.9 * sigmaDeg)).toBe(false);
    expect(offSlack(3.1 * sigmaDeg)).toBe(true);
    // Far from the slack, yet no larger than three of its own uncertainties.
    const wide = sessionScatter([edge([83], [73])]);
    expect(directionQuestion(edge([10.5], [10]), wide)?.isQuestionable).toBe(false);
  });

  test('a lone edge has nothing to differ from but zero', () => {
    const session = { ...sessionScatter([]), slackDeg: null };
    expect(directionQuestion(edge([12], [10]), session)).toMatchObject({ slackDeg: 0, isQuestionable: true });
    expect(directionQuestion(edge([10.5], [10]), session)?.isQuestionable).toBe(false);
    expect(directionQuestion(edge([10], []), session)).toBeNull();
  });

  test('three wheel steps are enough even for a badly placed edge', () => {
    const rough = sessionScatter([edge([83, 86, 89, 80], [83, 86, 89, 80])]);
    const readings = [camera(10), camera(10)];
    const shifted = [camera(30), camera(30)];
    expect(directionQuestion({ forwards: shifted, backwards: readings }, rough)?.isQuestionable).toBe(true);
  });
});

describe('duration by repeats', () => {
  test('puts scatter and steps of both events together', () => {
    const result = durationByRepeats([10, 11], [100, 102], 1, 3);
    expect(result.durationDeg).toBeCloseTo(90.5, 12);
    expect(result.standardUncertaintyDeg).toBeCloseTo(Math.sqrt(0.25 + 1 + 2 / 12), 12);
    expect(result.expandedDeg).toBeCloseTo(3 * result.standardUncertaintyDeg, 12);
    expect(refused(() => durationByRepeats([10], [100, 102], 1, 2))).toBe('insufficient_data openReadingsDeg');
    expect(refused(() => durationByRepeats([10, 11], [100], 1, 2))).toBe('insufficient_data closeReadingsDeg');
    expect(refused(() => durationByRepeats([10, 11], [100, 101], 0, 2))).toBe('non_positive resolution');
    expect(refused(() => durationByRepeats([10, 190], [100, 101], 1, 2))).toBe('singular readings');
  });
});
