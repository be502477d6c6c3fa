import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

/** Linear red, green and blue, each 0 to 1. */
type Linear = readonly [number, number, number];

const css = readFileSync(new URL('../../../renderer/theme/tokens.css', import.meta.url), 'utf8');

function tokensOf(theme: 'desk' | 'bench'): Map<string, string> {
  const block = new RegExp(`data-theme="${theme}"\\] \\{([^}]*)\\}`).exec(css)?.[1] ?? '';
  return new Map([...block.matchAll(/--([a-z-]+): (#[0-9a-f]{6});/g)].map((match) => [match[1] ?? '', match[2] ?? '']));
}

function linear(hex: string): Linear {
  const channel = (at: number) => {
    const value = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  };
  return [channel(1), channel(3), channel(5)];
}

/** WCAG 2.2 relative luminance and contrast ratio. */
function contrast(a: string, b: string): number {
  const luminance = (hex: string) => {
    const [red, green, blue] = linear(hex);
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
  };
  const [low, high] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return ((high ?? 0) + 0.05) / ((low ?? 0) + 0.05);
}

/** Dichromats' view of linear colours, full severity. @source Machado, Oliveira, Fernandes 2009, table 1 */
const deficiencies = {
  none: [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ],
  protanopia: [
    [0.152286, 1.052583, -0.204868],
    [0.114503, 0.786281, 0.099216],
    [-0.003882, -0.048116, 1.051998],
  ],
  deuteranopia: [
    [0.367322, 0.860646, -0.227968],
    [0.280085, 0.672501, 0.047413],
    [-0.01182, 0.04294, 0.968881],
  ],
  tritanopia: [
    [1.255528, -0.076749, -0.178779],
    [-0.078411, 0.930809, 0.147602],
    [0.004733, 0.691367, 0.3039],
  ],
} as const;

/** Distance in Oklab, where 0.02 is about the smallest difference that is seen. */
function distance(a: string, b: string, deficiency: keyof typeof deficiencies): number {
  const seen = (hex: string): Linear => {
    const colour = linear(hex);
    const rows = deficiencies[deficiency].map((row) =>
      Math.min(1, Math.max(0, row[0] * colour[0] + row[1] * colour[1] + row[2] * colour[2])),
    );
    return [rows[0] ?? 0, rows[1] ?? 0, rows[2] ?? 0];
  };
  const [p, q] = [oklab(seen(a)), oklab(seen(b))];
  return Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
}

function oklab([red, green, blue]: Linear): Linear {
  const l = Math.cbrt(0.4122214708 * red + 0.5363325363 * green + 0.0514459929 * blue);
  const m = Math.cbrt(0.2119034982 * red + 0.6806995451 * green + 0.1073969566 * blue);
  const s = Math.cbrt(0.0883024619 * red + 0.2817188376 * green + 0.6299787005 * blue);
  return [
    0.2104542553 * l + 0.793617785 * m - 0.0040720468 * s,
    1.9779984951 * l - 2.428592205 * m + 0.4505937099 * s,
    0.0259040371 * l + 0.7827717662 * m - 0.808675766 * s,
  ];
}

describe.each(['desk', 'bench'] as const)('the palette of the %s theme', (theme) => {
  const tokens = tokensOf(theme);
  const colour = (name: string) => {
    const value = tokens.get(name);
    if (value === undefined) throw new Error(`${theme}: --${name} is missing`);
    return value;
  };
  const surfaces = ['surface', 'surface-raised', 'surface-sunken'];

  it('has every text at 4.5:1 or better on every surface', () => {
    const texts = [
      'text',
      'text-muted',
      'accent',
      'conforms',
      'fails',
      'undecided',
      'exhaust',
      'transfer',
      'boost',
      'intake',
    ];
    const low = texts.flatMap((text) =>
      surfaces
        .filter((surface) => contrast(colour(text), colour(surface)) < 4.5)
        .map((surface) => `${text} on ${surface}: ${contrast(colour(text), colour(surface)).toFixed(2)}`),
    );
    expect(low).toEqual([]);
  });

  it('has key figures at 7:1 or better on every surface', () => {
    for (const surface of surfaces) expect(contrast(colour('text-key'), colour(surface))).toBeGreaterThanOrEqual(7);
  });

  it('has text on the accent, on its wash and on cautions at 4.5:1 or better', () => {
    expect(contrast(colour('on-accent'), colour('accent'))).toBeGreaterThanOrEqual(4.5);
    expect(contrast(colour('on-accent'), colour('accent-strong'))).toBeGreaterThanOrEqual(4.5);
    expect(contrast(colour('text'), colour('accent-wash'))).toBeGreaterThanOrEqual(4.5);
    expect(contrast(colour('caution-text'), colour('caution-surface'))).toBeGreaterThanOrEqual(4.5);
  });

  it('has borders of fields at 3:1 or better', () => {
    for (const surface of surfaces) expect(contrast(colour('line-strong'), colour(surface))).toBeGreaterThanOrEqual(3);
  });

  it('keeps port kinds and verdicts apart for the three colour-vision deficiencies', () => {
    const sets = [
      ['exhaust', 'transfer', 'boost', 'intake'],
      ['conforms', 'fails', 'undecided'],
    ];
    const close: string[] = [];
    for (const set of sets) {
      for (const deficiency of Object.keys(deficiencies) as (keyof typeof deficiencies)[]) {
        for (const [index, first] of set.entries()) {
          for (const second of set.slice(index + 1)) {
            const apart = distance(colour(first), colour(second), deficiency);
            if (apart < 0.09) close.push(`${first} and ${second}, ${deficiency}: ${apart.toFixed(3)}`);
          }
        }
      }
    }
    expect(close).toEqual([]);
  });
});
