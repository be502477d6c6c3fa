import { describe, expect, test } from 'vitest';
import { fewReadingsRemark, provenanceOf, routeWords, sharesOf } from '../../core/provenance.ts';
import { exactly, valueFrom } from '../../core/uncertainty/value.ts';

const description = { title: 'Blowdown', formula: 'b − a', source: 'definition', nature: 'derived' } as const;
const term = (
  from: string,
  effect: number,
  route: 'repeats' | 'resolution',
  degreesOfFreedom: number | null = null,
) => ({
  from,
  effect,
  route,
  degreesOfFreedom,
});

describe('provenance', () => {
  test('orders the terms of the budget and leaves out what adds nothing', () => {
    const value = valueFrom(33, [
      term('step', 0.3, 'resolution'),
      term('nothing', 0, 'resolution'),
      term('hand', -0.4, 'repeats', 30),
    ]);
    const provenance = provenanceOf(description, [], { value: 33, unit: 'deg' }, value, ['Read twice.']);
    expect(provenance.uncertainty?.contributions.map(({ from, share }) => [from, share.toFixed(2)])).toEqual([
      ['hand', '0.64'],
      ['step', '0.36'],
    ]);
    expect(provenance.uncertainty).toMatchObject({
      sigma: 0.5,
      expanded: 1,
      coverage: 2,
      routes: ['resolution', 'repeats'],
    });
    expect(provenance.remarks).toEqual(['Read twice.']);
    expect(provenance).toMatchObject({ ...description, inputs: [], result: { value: 33, unit: 'deg' } });
  });

  test('asks for more readings where the rule covers too little', () => {
    const value = valueFrom(33, [term('hand', 0.4, 'repeats', 3)]);
    expect(provenanceOf(description, [], { value: 33, unit: 'deg' }, value).remarks).toEqual([
      'Only 3 effective degrees of freedom: k = 2 covers less than 95 %; take more readings.',
    ]);
    expect(fewReadingsRemark(null)).toBeNull();
    expect(fewReadingsRemark(10)).toBeNull();
    expect(fewReadingsRemark(3.08)).toContain('Only 3.1 effective');
  });

  test('an exact result has no budget', () => {
    expect(provenanceOf(description, [], { value: 1, unit: '' }, exactly(1))).not.toHaveProperty('uncertainty');
    expect(provenanceOf(description, [], { value: 1, unit: '' })).toMatchObject({ remarks: [] });
    expect(sharesOf([term('a', 0, 'repeats')])).toEqual([{ ...term('a', 0, 'repeats'), share: 0 }]);
  });

  test('each route has its words', () => {
    expect(routeWords).toMatchSnapshot();
  });
});
