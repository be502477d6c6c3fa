/** The list of quantities: feeds the command line, the screens and the sheets. */
import { areaQuantities } from './catalogue/area.ts';
import { crankQuantities } from './catalogue/crank.ts';
import type { Quantity } from './catalogue/describe.ts';
import { type Evaluation, evaluate, type GivenInputs, repeatableSimulation } from './catalogue/evaluate.ts';
import { fitQuantities } from './catalogue/fits.ts';
import { plannerQuantities } from './catalogue/planner.ts';
import { portSizeQuantities } from './catalogue/port-sizes.ts';
import { portQuantities } from './catalogue/ports.ts';
import { ruleQuantities } from './catalogue/rules-of-thumb.ts';
import { squishQuantities } from './catalogue/squish.ts';
import { uncertaintyQuantities } from './catalogue/uncertainty.ts';
import { volumeQuantities } from './catalogue/volumes.ts';
import { refuse } from './checks.ts';
import type { MonteCarloSettings } from './uncertainty/monte-carlo.ts';

/** Every quantity, in the order in which a builder meets its subject. */
export const catalogue: readonly Quantity[] = [
  ...crankQuantities,
  ...portQuantities,
  ...portSizeQuantities,
  ...areaQuantities,
  ...squishQuantities,
  ...volumeQuantities,
  ...fitQuantities,
  ...plannerQuantities,
  ...uncertaintyQuantities,
  ...ruleQuantities,
];

const byId = new Map(catalogue.map((quantity) => [quantity.id, quantity]));

export function hasQuantity(id: string): boolean {
  return byId.has(id);
}

/** @throws not_applicable where the catalogue has no such quantity */
export function quantityById(id: string): Quantity {
  const found = byId.get(id);
  if (found === undefined) refuse('not_applicable', 'quantity', id, 'a quantity of the catalogue', 'check its name.');
  return found;
}

/**
 * Evaluates a quantity by its id.
 * @param given inputs by name, each with its unit and, where known, its standard uncertainty and readings
 * @throws see `evaluate`
 */
export function evaluateQuantity(
  id: string,
  given: GivenInputs,
  simulation: () => MonteCarloSettings = repeatableSimulation,
): Evaluation {
  return evaluate(quantityById(id), given, simulation);
}
