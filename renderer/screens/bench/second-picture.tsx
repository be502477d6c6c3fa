import { useEffect, useRef } from 'react';
import { useStore } from 'zustand';
import { Notice } from '../../parts/controls.tsx';
import type { SightState } from '../../state/bench-sight.ts';
import { type SecondCamera, secondCameraTrouble } from '../../state/second-camera.ts';

/** The second camera at the port, beside the wheel; offered where there is one besides the wheel's own. */
export function SecondPicture({ second, sight }: { second: SecondCamera; sight: SightState }) {
  const { camera, devices } = useStore(second.store);
  const place = useRef<HTMLDivElement>(null);
  const isRunning = camera.kind === 'running';
  useEffect(() => {
    if (!isRunning) return;
    place.current?.prepend(second.video);
    void second.video.play().catch(() => undefined);
  }, [second, isRunning]);
  const wheelCamera = sight.camera.kind === 'running' ? sight.camera.source.deviceId : '';
  const others = devices.filter(({ deviceId }) => deviceId !== '' && deviceId !== wheelCamera);
  const chosen = isRunning ? camera.source.deviceId : '';
  const trouble = secondCameraTrouble(camera);
  if (others.length === 0 && camera.kind === 'off') return null;
  return (
    <>
      <label className="field">
        Second camera at the port
        <select
          value={chosen}
          onChange={(event) => {
            second.choose(others.find(({ deviceId }) => deviceId === event.target.value) ?? null);
            // The stamp key must not go to the list any more.
            event.target.blur();
          }}
        >
          <option value="">none</option>
          {others.map(({ deviceId, label }) => (
            <option key={deviceId} value={deviceId}>
              {label}
            </option>
          ))}
        </select>
      </label>
      {isRunning ? <div ref={place} className="second-picture" data-testid="second-picture" /> : null}
      {trouble === null ? null : <Notice tone="note">{trouble}</Notice>}
    </>
  );
}
