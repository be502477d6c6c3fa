import type { TickComb } from './comb.ts';
import type { ImageOps } from './image-ops.ts';
import type { FoundWheel, GreyPicture } from './types.ts';

/** Placeholder until the search is written below. */
export function findWheelIn(_ops: ImageOps, _comb: TickComb, _picture: GreyPicture): FoundWheel {
  return { ok: false, reason: 'wheel_not_found' };
}
