import { useEffect, useRef } from 'react';
import { type ApproachToEdge, toneOfApproach } from '../../state/bench-approach.ts';
import { playPip } from './tones.ts';

/** "0.8 degrees to go" on the way back to an edge that was read in the other direction, with a tone that tells it too. */
export function ApproachLine({ approach, hasTones }: { approach: ApproachToEdge | null; hasTones: boolean }) {
  const latest = useRef(approach);
  latest.current = approach;
  const isSounding = hasTones && approach !== null;
  useEffect(() => {
    if (!isSounding) return;
    let timer = 0;
    const sound = (): void => {
      const now = latest.current;
      if (now === null) return;
      const { hz, everyMs } = toneOfApproach(now.toGoDeg);
      playPip(hz);
      timer = window.setTimeout(sound, everyMs);
    };
    sound();
    return () => window.clearTimeout(timer);
  }, [isSounding]);
  if (approach === null) return null;
  return (
    <p className="bench-approach" data-testid="approach">
      <span aria-hidden="true">{approach.toGoDeg > 0 ? '→' : '←'}</span> {approach.sentence}
    </p>
  );
}
