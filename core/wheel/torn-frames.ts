/** Two frames that, as placed, ought to show much of the same part of the ring, and whether they do. */
export interface NeighbourCheck {
  readonly from: number;
  readonly to: number;
  readonly isBorneOut: boolean;
}

/**
 * Of neighbours at least these many, and this share of them, must fail before the frames are distrusted: a hand or a blurred
 * frame spoils one now and then.
 */
const tornPairs = 2;
const tornShare = 0.2;
/** When more of the frames than this would have to go, nobody knows which of them hang at the right place. */
const mostDroppedShare = 0.25;

function areTorn(checks: readonly NeighbourCheck[]): boolean {
  const torn = checks.filter(({ isBorneOut }) => !isBorneOut).length;
  return torn >= tornPairs && torn >= tornShare * checks.length;
}

/** The frame that most of its own neighbours speak against; never the reference, which is frame 0. */
function mostDoubtful(checks: readonly NeighbourCheck[]): number | null {
  let worst: { frame: number; failed: number; share: number } | null = null;
  for (const frame of new Set(checks.flatMap(({ from, to }) => [from, to]))) {
    if (frame === 0) continue;
    const own = checks.filter(({ from, to }) => from === frame || to === frame);
    const failed = own.filter(({ isBorneOut }) => !isBorneOut).length;
    const share = failed / own.length;
    if (failed < tornPairs || share <= 0.5) continue;
    if (worst === null || share > worst.share || (share === worst.share && failed > worst.failed))
      worst = { frame, failed, share };
  }
  return worst?.frame ?? null;
}

/**
 * Frames of a turn that hang at a wrong place: what their neighbours show speaks against them.
 * @returns the frames to leave out, none where all hang together; null where they are torn apart beyond that
 */
export function misplacedFrames(checks: readonly NeighbourCheck[], frameCount: number): ReadonlySet<number> | null {
  const dropped = new Set<number>();
  let left = checks;
  while (areTorn(left)) {
    const frame = mostDoubtful(left);
    if (frame === null || dropped.size + 1 > mostDroppedShare * frameCount) return null;
    dropped.add(frame);
    left = left.filter(({ from, to }) => from !== frame && to !== frame);
  }
  return dropped;
}
