import { expect, test } from 'vitest';
import { measuredAngle } from '../../../renderer/parts/expanded-angle.ts';

test('neither an angle nor its uncertainty is shown with figures that mean nothing', () => {
  const shown = [0.0038, 0.0104, 0.04974, 0.04976, 0.43, 0.4976, 0.6325].map((sigmaDeg) => measuredAngle(sigmaDeg));
  expect(shown.map(({ expanded }) => expanded)).toEqual(['0.008', '0.021', '0.099', '0.10', '0.86', '1.0', '1.3']);
  expect(shown.map(({ decimals }) => decimals)).toEqual([2, 2, 2, 2, 2, 1, 1]);
});
