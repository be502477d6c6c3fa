import type { WheelScaleKind } from '../../../core/contract/readings.ts';

/** Scales of degree wheels as the screens name them. */
export const scaleTitles: Readonly<Record<WheelScaleKind, string>> = {
  '0-360': '0 to 360 one way',
  '0-180-0': '0 to 180 and back',
  '0-90-0-90': 'Four quarters, 0 to 90',
  two_rings: 'Two rings, opposite ways',
};
