import { columnDeg, ringColumns } from '../ring-map.ts';
import type { CodeTracks } from './code-tracks.ts';
import { likelyPlaces } from './code-wave.ts';
import { type PlaceProof, provePlace } from './prove-place.ts';
import { shortArcCells } from './ring-code.ts';

const n = ringColumns;
/** Places tried for the whole ring and for each arc of it. */
const placesTried = 3;
/** Where the ring as a whole doesn't show the place, arcs of this width are asked one by one. */
const arcColumns = Math.round((shortArcCells * 1.15 * n) / 180);
const arcStep = Math.round(n / 18);
/** Two proofs further apart than this contradict each other, columns. */
const sameColumns = 1.5 / columnDeg;

const masked = new Float64Array(n);

/**
 * Where the coded ring lies, or null where nothing is certain: no coded ring, too little of it, or two answers.
 */
export function decodeRing(tracks: CodeTracks): PlaceProof | null {
  // A tenth of the ring is less than the shortest arc that may prove anything.
  if (tracks.trustedFraction < 0.1) return null;
  for (const place of likelyPlaces(tracks.value, placesTried)) {
    const proof = provePlace(tracks, place);
    if (proof !== null) return proof;
  }
  // A hand or a rag with a pattern of its own can drown the arc that is left.
  let best: PlaceProof | null = null;
  for (let start = 0; start < n; start += arcStep) {
    masked.fill(0);
    let trusted = 0;
    for (let i = 0; i < arcColumns; i++) {
      const x = (start + i) % n;
      masked[x] = tracks.value[x] as number;
      trusted += tracks.trusted[x] as number;
    }
    if (trusted < 0.7 * arcColumns) continue;
    for (const place of likelyPlaces(masked, 1)) {
      const proof = provePlace(tracks, place);
      if (proof === null) continue;
      if (best !== null && !isSamePlace(best, proof)) return null;
      if (best === null || proof.provenCells > best.provenCells) best = proof;
    }
  }
  return best;
}

function isSamePlace(a: PlaceProof, b: PlaceProof): boolean {
  const gap = Math.abs(a.place.column - b.place.column);
  return (
    a.place.isMirrored === b.place.isMirrored &&
    a.place.isInverted === b.place.isInverted &&
    Math.min(gap, n - gap) <= sameColumns
  );
}
