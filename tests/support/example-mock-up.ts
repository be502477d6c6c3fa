import type { MockUpSizes } from '../../core/planner/mock-up-figures.ts';

/** A 123 cc hire-kart barrel with eight ports, as a bench would measure it. */
export const kartMockUp: MockUpSizes = {
  geometry: { strokeMm: 54, rodLengthMm: 108, offsetMm: 0.4 },
  boreMm: 53.9,
  speedRpm: 11_500,
  squishMm: 0.95,
  clearanceVolumeCc: 10.4,
  headGasketBoreMm: 55,
  bowlDiameterMm: 37,
  squishTaperDeg: 1,
  crankcaseVolumeBdcCc: 285,
  ports: [
    {
      portId: 'exhaust',
      kind: 'exhaust',
      edgeDepthMm: 26.4,
      window: { widthMm: 36, heightMm: 26, radiusTopMm: 8, radiusBottomMm: 6 },
    },
    {
      portId: 'exhaust-side',
      kind: 'auxiliary_exhaust',
      edgeDepthMm: 28.2,
      window: { widthMm: 10, heightMm: 9, radiusTopMm: 2, radiusBottomMm: 2 },
      windowCount: 2,
    },
    {
      portId: 'main-drive',
      kind: 'transfer_main',
      edgeDepthMm: 41.2,
      window: { widthMm: 19, heightMm: 12.6, radiusTopMm: 3, radiusBottomMm: 3 },
    },
    {
      portId: 'main-ignition',
      kind: 'transfer_main',
      edgeDepthMm: 41.3,
      window: { widthMm: 19, heightMm: 12.5, radiusTopMm: 3, radiusBottomMm: 3 },
    },
    {
      portId: 'secondary-drive',
      kind: 'transfer_secondary',
      edgeDepthMm: 41.6,
      window: { widthMm: 15, heightMm: 12.2, roofDropMm: 1.5 },
    },
    {
      portId: 'secondary-ignition',
      kind: 'transfer_secondary',
      edgeDepthMm: 41.6,
      window: { widthMm: 15, heightMm: 12.2, roofDropMm: 1.5 },
    },
    {
      portId: 'boost',
      kind: 'boost',
      edgeDepthMm: 41,
      window: { widthMm: 16, heightMm: 12.8, radiusTopMm: 2.5, radiusBottomMm: 2.5 },
    },
    {
      portId: 'intake',
      kind: 'intake_skirt',
      edgeDepthMm: 15,
      window: { widthMm: 30, heightMm: 17, radiusTopMm: 5, radiusBottomMm: 5 },
    },
  ],
};
