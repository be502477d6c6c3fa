import { circularMean } from '../uncertainty/circular.ts';
import { combine } from '../uncertainty/combine.ts';
import { compareValues, conformanceProbability, conformity } from '../uncertainty/conformity.ts';
import { durationByRepeats } from '../uncertainty/event-budget.ts';
import { typeA } from '../uncertainty/type-a.ts';
import { hysteresisUncertainty, resolutionUncertainty, type TypeBShape, typeB } from '../uncertainty/type-b.ts';
import { coverageFactor } from '../uncertainty/value.ts';
import {
  derived,
  number,
  numberList,
  optionalFlag,
  optionalListWithGaps,
  optionalNumber,
  quantity,
  text,
} from './describe.ts';

const same = (title: string) => ({ title, dimension: 'any' }) as const;
const angle = (title: string) => ({ title, dimension: 'angle' }) as const;
const jcgm100 = (clause: string) => ({ nature: 'standard', source: `JCGM 100:2008, ${clause}` }) as const;
const limits = {
  lower: optionalNumber('lower', 'Lower limit', 'any'),
  upper: optionalNumber('upper', 'Upper limit', 'any'),
  value: number('value', 'Value', 'any'),
};
const coverage = { coverage: optionalNumber('coverage', 'Coverage factor', 'ratio') };

/** Uncertainty and decisions. */
export const uncertaintyQuantities = [
  quantity({
    id: 'circular_mean',
    title: 'Mean of angles',
    subject: 'uncertainty',
    formula: 'direction of the mean unit vector',
    ...derived,
    inputs: { readingsDeg: numberList('readings', 'Readings', 'angle') },
    outputs: { mean: { title: 'Mean', dimension: 'angle', period: 360 } },
    run: (received) => ({ mean: circularMean(received.readingsDeg) }),
  }),
  quantity({
    id: 'type_a',
    title: 'Uncertainty from repeats',
    subject: 'uncertainty',
    formula: 's with n − 1; u = s/√n',
    ...jcgm100('4.2'),
    inputs: { readings: numberList('readings', 'Readings', 'any') },
    outputs: {
      mean: same('Mean'),
      standard_deviation: same('Standard deviation'),
      standard_uncertainty: same('Standard uncertainty of the mean'),
      degrees_of_freedom: { title: 'Degrees of freedom', dimension: 'ratio' },
    },
    run: (received) => {
      const result = typeA(received.readings);
      return {
        mean: result.mean,
        standard_deviation: result.standardDeviation,
        standard_uncertainty: result.standardUncertainty,
        degrees_of_freedom: result.degreesOfFreedom,
      };
    },
  }),
  quantity({
    id: 'type_b',
    title: 'Uncertainty from a half-width',
    subject: 'uncertainty',
    formula: 'rectangular a/√3, triangular a/√6, arcsine a/√2',
    nature: 'standard',
    source: 'JCGM 100:2008, 4.3.7 and 4.3.9; JCGM 101:2008, 6.4.6',
    inputs: { halfWidth: number('half_width', 'Half-width', 'any'), shape: text('shape', 'Shape') },
    outputs: { standard_uncertainty: same('Standard uncertainty') },
    // An unknown word is the formula's to refuse, with the list of those it knows.
    run: (received) => ({ standard_uncertainty: typeB(received.halfWidth, received.shape as TypeBShape) }),
  }),
  quantity({
    id: 'resolution_uncertainty',
    title: "Uncertainty of a scale's step",
    subject: 'uncertainty',
    formula: 'δ/√12',
    ...jcgm100('F.2.2.1'),
    inputs: { resolution: number('resolution', 'Step of the scale', 'any') },
    outputs: { standard_uncertainty: same('Standard uncertainty') },
    run: (received) => ({ standard_uncertainty: resolutionUncertainty(received.resolution) }),
  }),
  quantity({
    id: 'hysteresis_uncertainty',
    title: 'Uncertainty from the two directions',
    subject: 'uncertainty',
    formula: '|forward − backward|/√12',
    ...jcgm100('F.2.2.2'),
    inputs: {
      forward: number('forward', 'Turning forwards', 'any'),
      backward: number('backward', 'Turning backwards', 'any'),
      circular: optionalFlag('circular', 'Readings wrap at 360'),
    },
    outputs: { standard_uncertainty: same('Standard uncertainty') },
    run: (received) => ({
      standard_uncertainty: hysteresisUncertainty(received.forward, received.backward, received.circular),
    }),
  }),
  quantity({
    id: 'combine',
    title: 'Combined uncertainty',
    subject: 'uncertainty',
    formula: 'u = √Σ(c u)²; U = k u; ν_eff = u⁴/Σ((c u)⁴/ν)',
    ...jcgm100('5.1.2 (10), 6.2.1, G.4.1'),
    inputs: {
      sensitivities: numberList('sensitivities', 'Sensitivities', 'ratio'),
      uncertainties: numberList('uncertainties', 'Standard uncertainties', 'any'),
      degreesOfFreedom: optionalListWithGaps('degrees_of_freedom', 'Degrees of freedom'),
      ...coverage,
    },
    outputs: {
      combined: same('Combined standard uncertainty'),
      expanded: same('Expanded uncertainty'),
      effective_degrees_of_freedom: {
        title: 'Effective degrees of freedom',
        dimension: 'ratio',
        isOptional: true,
      },
    },
    run: (received) => {
      const result = combine(received);
      return {
        combined: result.combined,
        expanded: result.expanded,
        effective_degrees_of_freedom: result.effectiveDegreesOfFreedom,
      };
    },
  }),
  quantity({
    id: 'duration_uncertainty',
    title: 'Duration with uncertainty, by repeats',
    subject: 'uncertainty',
    formula: 'u² = s²/n of each event + 2 δ²/12',
    ...jcgm100('4.2, 5.1.2, F.2.2.1'),
    inputs: {
      openReadingsDeg: numberList('open_readings', 'Opening, wheel readings', 'angle'),
      closeReadingsDeg: numberList('close_readings', 'Closing, wheel readings', 'angle'),
      resolutionDeg: number('resolution', 'Step of the wheel', 'angle'),
      ...coverage,
    },
    outputs: {
      duration: angle('Duration'),
      standard_uncertainty: angle('Standard uncertainty'),
      expanded: angle('Expanded uncertainty'),
    },
    run: (received) => {
      const { openReadingsDeg, closeReadingsDeg, resolutionDeg } = received;
      const result = durationByRepeats(
        openReadingsDeg,
        closeReadingsDeg,
        resolutionDeg,
        received.coverage ?? coverageFactor,
      );
      return {
        duration: result.durationDeg,
        standard_uncertainty: result.standardUncertaintyDeg,
        expanded: result.expandedDeg,
      };
    },
  }),
  quantity({
    id: 'conformity',
    title: 'Decision against limits',
    subject: 'uncertainty',
    formula: 'conforming: lower + g ≤ y ≤ upper − g, g = r U',
    nature: 'standard',
    source: 'ISO 14253-1:2017; JCGM 106:2012, 8.3',
    inputs: {
      ...limits,
      expanded: number('expanded', 'Expanded uncertainty', 'any'),
      guardFactor: optionalNumber('guard_factor', 'Guard band as a part of U', 'ratio'),
    },
    outputs: {
      decision: { title: 'Decision', dimension: null },
      can_ever_conform: { title: 'Some value could conform', dimension: null },
    },
    run: (received) => {
      const result = conformity(received);
      return { decision: result.decision, can_ever_conform: result.canEverConform };
    },
  }),
  quantity({
    id: 'conformance_probability',
    title: 'Probability of lying within the limits',
    subject: 'uncertainty',
    formula: 'Φ((upper − y)/u) − Φ((lower − y)/u)',
    nature: 'standard',
    source: 'JCGM 106:2012, clause 7',
    inputs: { ...limits, standardUncertainty: number('standard_uncertainty', 'Standard uncertainty', 'any') },
    outputs: { probability: { title: 'Probability', dimension: 'ratio' } },
    run: (received) => ({ probability: conformanceProbability(received) }),
  }),
  quantity({
    id: 'compare_cylinders',
    title: 'Difference of two cylinders',
    subject: 'uncertainty',
    formula: 'd = b − a; u = √(u_a² + u_b²); distinguishable where |d| > k u',
    ...derived,
    inputs: {
      valueA: number('value_a', 'First', 'any'),
      valueB: number('value_b', 'Second', 'any'),
      uA: number('u_a', 'Standard uncertainty of the first', 'any'),
      uB: number('u_b', 'Standard uncertainty of the second', 'any'),
      ...coverage,
    },
    outputs: {
      difference: same('Second less first'),
      standard_uncertainty: same('Standard uncertainty'),
      expanded: same('Expanded uncertainty'),
      distinguishable: { title: 'Really different', dimension: null },
    },
    run: (received) => {
      const result = compareValues(received);
      return {
        difference: result.difference,
        standard_uncertainty: result.standardUncertainty,
        expanded: result.expanded,
        distinguishable: result.distinguishable,
      };
    },
  }),
];
