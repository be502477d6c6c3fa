/** How well the cylinders of one engine, or a set of barrels, match; against what the trade allows. */
import { differenceOf } from '../uncertainty/linear.ts';
import type { Value } from '../uncertainty/value.ts';
import type { ComparedRow } from './compare.ts';
import { type Judged, judged } from './judge.ts';

/** What the trade lets the members of a set differ by. Advice with its source, never a maker's limit. */
export interface MatchRule {
  /** Keys of the rows that it speaks of; a key that ends in `:` stands for every port. */
  readonly keys: readonly string[];
  readonly title: string;
  readonly largestDifference: number;
  readonly unit: string;
  readonly statement: string;
}

export const matchRuleSource = 'trade practice, no maker behind it';

export const matchRules: readonly MatchRule[] = [
  {
    keys: ['squish_minimum', 'squish_mean'],
    title: 'squish',
    largestDifference: 0.05,
    unit: 'mm',
    statement: 'The trade matches squish within 0.05 mm.',
  },
  {
    keys: ['head_volume', 'clearance_volume'],
    title: 'volume',
    largestDifference: 0.2,
    unit: 'cm3',
    statement: 'The trade matches head volumes within 0.1 to 0.2 cm3; the wider figure is used here.',
  },
  {
    keys: ['deck_mean'],
    title: 'deck',
    largestDifference: 0.05,
    unit: 'mm',
    statement: 'The trade matches deck heights within 0.05 mm.',
  },
  {
    keys: ['event:'],
    title: 'port edges',
    largestDifference: 0.5,
    unit: 'deg',
    statement:
      'The trade matches exhaust roofs within 0.1 to 0.2 mm, some 0.25 to 0.5 deg; the wider figure is used here.',
  },
];

export interface SetMatch {
  readonly key: string;
  readonly title: string;
  readonly unit: string;
  readonly decimals: number;
  readonly rule: MatchRule;
  /** Largest less smallest. */
  readonly spread: Value;
  /** Columns with the smallest and the largest value. */
  readonly lowestIndex: number;
  readonly highestIndex: number;
  /** Of the spread against the rule, by the same three-way decision as any limit. */
  readonly judged: Judged;
}

function ruleOf(key: string): MatchRule | null {
  return (
    matchRules.find(({ keys }) => keys.some((one) => (one.endsWith(':') ? key.startsWith(one) : key === one))) ?? null
  );
}

/** Spread of every row that the trade has a rule for; rows that fewer than two of the set have are left out. */
export function matchOfSet(rows: readonly ComparedRow[]): readonly SetMatch[] {
  return rows.flatMap((row) => {
    const rule = ruleOf(row.key);
    const read = row.cells.flatMap(({ value }, index) => (value === null ? [] : [{ index, value }]));
    const [first] = read;
    if (rule === null || first === undefined || read.length < 2) return [];
    let lowest = first;
    let highest = first;
    for (const one of read) {
      if (one.value.value < lowest.value.value) lowest = one;
      if (one.value.value > highest.value.value) highest = one;
    }
    const spread = differenceOf(highest.value, lowest.value);
    const specification = {
      quantity: row.key,
      nominal: null,
      lower: null,
      upper: rule.largestDifference,
      unit: rule.unit,
      source: matchRuleSource,
      sourceDate: '',
    };
    return [
      {
        key: row.key,
        title: row.title,
        unit: row.unit,
        decimals: row.decimals,
        rule,
        spread,
        lowestIndex: lowest.index,
        highestIndex: highest.index,
        judged: judged(specification, { value: spread.value, sigma: spread.sigma, repeats: null }),
      },
    ];
  });
}
