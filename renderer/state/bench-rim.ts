import type { RimEllipse } from '../../core/wheel/types.ts';
import type { ToWorker } from '../wheel-worker/messages.ts';
import type { SightStore } from './bench-sight.ts';

/** The outline of the wheel, drawn by hand where the search doesn't find it. */
export interface RimByHand {
  /** Puts an outline into the middle of the picture, to be dragged on to the rim. */
  drawRim(): void;
  dragRim(rim: RimEllipse): void;
  dropRim(rim: RimEllipse): void;
  /** Leaves the outline that was dragged and shows the one in use again. */
  putRimBack(): void;
}

const inHand = { kind: 'by_hand', isInHand: true, isSnapped: null } as const;
const setDown = { ...inHand, isInHand: false } as const;

export function createRimByHand(store: SightStore, send: (message: ToWorker) => void): RimByHand {
  return {
    drawRim() {
      const { picture, camera } = store.getState();
      const size = picture ?? (camera.kind === 'running' ? camera.source : null);
      if (size === null) return;
      const across = 0.7 * Math.min(size.widthPx, size.heightPx);
      const centrePx = [size.widthPx / 2, size.heightPx / 2] as const;
      send({ kind: 'stop_finding' });
      store.setState({ rim: { centrePx, fullAxesPx: [across, across], angleDeg: 0 }, finding: inHand });
    },
    dragRim(rim) {
      if (store.getState().finding.kind === 'looking') send({ kind: 'stop_finding' });
      store.setState({ rim, finding: inHand });
    },
    dropRim(rim) {
      store.setState({ rim, finding: setDown });
      send({ kind: 'snap', rim });
    },
    putRimBack() {
      const { setup } = store.getState();
      if (setup !== null) store.setState({ rim: setup.info.rim, finding: { kind: 'idle' } });
    },
  };
}
