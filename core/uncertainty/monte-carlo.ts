import { refuse } from '../checks.ts';
import type { Generator } from './generator.ts';

/** Fewer trials leave the ends of the 95 % interval in doubt. */
export const fewestTrials = 200_000;

/** How a simulation is run; shown beside its result. */
export interface MonteCarloSettings {
  /** Seeded, so that the same figures come out again. */
  readonly generator: Generator;
  /** At least 200,000. */
  readonly trials: number;
}

export interface MonteCarloResult {
  readonly mean: number;
  readonly standardDeviation: number;
  /** 2.5 % and 97.5 % points: the probabilistically symmetric 95 % interval. */
  readonly intervalLow: number;
  readonly intervalHigh: number;
  readonly trials: number;
}

/**
 * Distribution of a result by drawing its inputs.
 * @param draw one trial: draws every input and computes the result
 * @throws out_of_range with fewer than 200,000 trials
 * @source JCGM 101:2008, clause 7
 */
export function monteCarlo(draw: () => number, trials: number): MonteCarloResult {
  if (!Number.isInteger(trials) || trials < fewestTrials) {
    refuse('out_of_range', 'trials', trials, `a whole number of ${fewestTrials} or more`, 'fewer leave the ends open.');
  }
  const results = new Float64Array(trials);
  let sum = 0;
  for (let trial = 0; trial < trials; trial++) {
    const result = draw();
    results[trial] = result;
    sum += result;
  }
  const mean = sum / trials;
  let squares = 0;
  for (const result of results) squares += (result - mean) ** 2;
  results.sort();
  const outside = Math.round(0.025 * trials);
  return {
    mean,
    standardDeviation: Math.sqrt(squares / (trials - 1)),
    intervalLow: results[outside - 1] as number,
    intervalHigh: results[trials - outside] as number,
    trials,
  };
}
