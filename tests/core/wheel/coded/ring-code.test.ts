import { describe, expect, test } from 'vitest';
import { cellCount, ringBits, shortArcCells, shortArcDistance } from '../../../../core/wheel/coded/ring-code.ts';

/** Every arc of a length as the camera may meet it: from each cell, straight or mirrored, as printed or turned over. */
function arcs(cells: number): Uint8Array[] {
  const all: Uint8Array[] = [];
  for (const direction of [1, -1])
    for (const turnedOver of [0, 1])
      for (let start = 0; start < cellCount; start++)
        all.push(
          Uint8Array.from({ length: cells }, (_, i) => {
            const cell = (start + direction * i + cellCount) % cellCount;
            return (ringBits[cell] as number) ^ turnedOver;
          }),
        );
  return all;
}

function leastDistance(cells: number): number {
  const all = arcs(cells);
  let least = cells;
  for (let a = 0; a < all.length; a++)
    for (let b = a + 1; b < all.length; b++) {
      let distance = 0;
      for (let i = 0; i < cells && distance < least; i++)
        if ((all[a] as Uint8Array)[i] !== (all[b] as Uint8Array)[i]) distance++;
      least = Math.min(least, distance);
    }
  return least;
}

describe('the bits of the coded ring', () => {
  test('there is one bit for every cell, and as many dark as light ones but for a few', () => {
    expect(ringBits).toHaveLength(cellCount);
    const ones = ringBits.reduce((sum: number, bit) => sum + bit, 0);
    expect(Math.abs(ones - cellCount / 2)).toBeLessThanOrEqual(2);
  });

  test('no more than four equal cells follow one another, so that the cells keep the count', () => {
    let run = 0;
    let longest = 0;
    for (let i = 0; i < 2 * cellCount; i++) {
      run = ringBits[i % cellCount] === ringBits[(i + cellCount - 1) % cellCount] ? run + 1 : 1;
      longest = Math.max(longest, run);
    }
    expect(longest).toBeLessThanOrEqual(4);
  });

  test('any two arcs of 60 degrees differ in seven cells at least, mirrored and turned over ones among them', () => {
    expect(shortArcCells * (360 / cellCount)).toBe(60);
    expect(leastDistance(shortArcCells)).toBe(shortArcDistance);
  });

  test('arcs of 40 degrees still differ in three cells', () => {
    expect(leastDistance(20)).toBeGreaterThanOrEqual(3);
  });
});
