/** Thresholds and defaults that we chose ourselves; Preferences lists them with their reasons. None is a limit. */
import { stopHalfArcRangeDeg, tdcDriftLimitDeg } from './crank/dead-centre.ts';
import { suspiciouslyShortRodStrokes } from './crank/geometry.ts';
import { uncheckedErrorSteps } from './mockup/check-readings.ts';
import { ignitionDisagreementDeg } from './mockup/check-rows-stack.ts';
import { portHeightResolutionMm } from './mockup/edge-depths.ts';
import { budgetDefaults, questionAtMultiples } from './uncertainty/event-budget.ts';
import { outlierAtMultiples } from './uncertainty/outliers.ts';
import { fewestEffectiveDegreesOfFreedom } from './uncertainty/value.ts';

export interface AdjustableDefault {
  readonly key: string;
  readonly title: string;
  readonly value: number;
  readonly unit: string;
  readonly reason: string;
}

export const adjustableDefaults: readonly AdjustableDefault[] = [
  {
    key: 'placement_prior',
    title: 'Scatter of placing the crank at an edge',
    value: budgetDefaults.placementPriorDeg,
    unit: 'deg',
    reason: 'What a careful hand reaches; used until a session has shown its own scatter by repeats.',
  },
  {
    key: 'placement_prior_weight',
    title: 'Degrees of freedom that this scatter counts for',
    value: budgetDefaults.placementPriorDegreesOfFreedom,
    unit: '1',
    reason: 'With fewer repeats than this the scatter of a session is itself in doubt by half.',
  },
  {
    key: 'slack',
    title: 'Slack between the directions',
    value: budgetDefaults.slackDeg,
    unit: 'deg',
    reason: 'Taken where no edge of the session was read turning both ways.',
  },
  {
    key: 'wheel_step',
    title: 'Step of the wheel for judging a difference of the directions',
    value: budgetDefaults.wheelStepDeg,
    unit: 'deg',
    reason: 'Most degree wheels are divided in single degrees.',
  },
  {
    key: 'direction_question',
    title: 'Difference of the directions that raises a question, in steps or in its own uncertainties',
    value: questionAtMultiples,
    unit: '1',
    reason: 'Three keeps ordinary slack and placing quiet and still finds a slipped wheel.',
  },
  {
    key: 'effective_degrees_of_freedom',
    title: 'Effective degrees of freedom below which more readings are asked for',
    value: fewestEffectiveDegreesOfFreedom,
    unit: '1',
    reason: 'Below this k = 2 covers noticeably less than 95 %.',
  },
  {
    key: 'tdc_drift',
    title: 'Drift of TDC that makes the readings since the last check doubtful',
    value: tdcDriftLimitDeg,
    unit: 'deg',
    reason: 'Bench practice: what the wheel moved by is in every reading.',
  },
  {
    key: 'stop_half_arc_lower',
    title: 'Stop: smallest half of the blocked arc',
    value: stopHalfArcRangeDeg.lower,
    unit: 'deg',
    reason: 'Closer to TDC the piston moves so little that the contact is felt late.',
  },
  {
    key: 'stop_half_arc_upper',
    title: 'Stop: largest half of the blocked arc',
    value: stopHalfArcRangeDeg.upper,
    unit: 'deg',
    reason: 'Further down nothing is gained and the correction for an offset grows.',
  },
  {
    key: 'short_rod',
    title: 'Rod length, in strokes, below which it is asked about',
    value: suspiciouslyShortRodStrokes,
    unit: '1',
    reason: 'A shorter rod is likelier a typing error than an engine.',
  },
  {
    key: 'port_height_step',
    title: 'Step to which an entered port height counts as read',
    value: portHeightResolutionMm,
    unit: 'mm',
    reason: 'What calipers resolve on a lip in the bore; used where a port has a height but no angle.',
  },
  {
    key: 'outlier_multiples',
    title: 'Distance from the median at which a repeat is marked, in robust deviations',
    value: outlierAtMultiples,
    unit: '1',
    reason: 'Three leaves ordinary scatter alone and finds a blade or a drum that was read wrong; nothing is dropped.',
  },
  {
    key: 'unchecked_instrument',
    title: 'Error of an instrument without a valid calibration, in its own steps',
    value: uncheckedErrorSteps,
    unit: '1',
    reason: 'Nobody knows its error; a step either way is the least that a workshop finds when it checks one.',
  },
  {
    key: 'ignition_disagreement',
    title: 'Difference of ignition by dial and by wheel that raises a question',
    value: ignitionDisagreementDeg,
    unit: 'deg',
    reason:
      'Bench practice: more than that is no longer reading, but TDC, the slant of the plug hole or the rod length.',
  },
];
