import type { InputOf } from '../../core/contract/messages.ts';
import type { Specification } from '../../core/contract/parts.ts';

type PartInput = InputOf<'part.create'>;
type PortInput = NonNullable<Extract<PartInput, { kind: 'barrel' }>['data']['ports']>[number];

/*
 * A made-up workshop readies the hire karts of a made-up hall: one engine, four barrels of the same casting that came
 * without papers. Stroke, rod and the timing of barrel D are those of the recorded demo camera.
 */

export const demoCustomer: InputOf<'customer.create'> = {
  name: 'Ferrowick Kart Hall (made up)',
  contact: 'The hall of the demo: neither it nor its karts exist.',
};

export const demoStrokeMm = 54.5;
export const demoRodLengthMm = 110;
export const demoAdvanceDeg = 17;

export const demoEngine: PartInput = {
  kind: 'engine',
  name: 'Hire kart engine 123 cc',
  marks: 'Fleet number 7',
  data: {
    strokeMm: demoStrokeMm,
    rodLengthMm: demoRodLengthMm,
    speedRpm: 11_500,
    crankcaseVolumeBdcCc: 310,
    ignitionAdvanceDeg: demoAdvanceDeg,
  },
};

export const demoPiston: PartInput = {
  kind: 'piston',
  name: 'Piston, first size',
  marks: 'Arrow to the exhaust',
  data: { diameterMm: 53.54, gaugeHeightMm: 12, skirtLengthMm: 38, domeVolumeCc: 1.4 },
};

export const demoHead: PartInput = {
  kind: 'head',
  name: 'Head, fleet standard',
  data: { volumeCc: 10.9, bowlDiameterMm: 38, squishBandTaperDeg: 1 },
};

export const demoGaskets: readonly PartInput[] = [
  { kind: 'gasket', name: 'Base gasket 0.5', data: { place: 'base', thicknessNewMm: 0.5, thicknessCrushedMm: 0.45 } },
  { kind: 'gasket', name: 'Base gasket 0.8', data: { place: 'base', thicknessNewMm: 0.8, thicknessCrushedMm: 0.72 } },
  {
    kind: 'gasket',
    name: 'Head gasket 0.5',
    data: { place: 'head', thicknessNewMm: 0.5, thicknessCrushedMm: 0.48, boreMm: 54 },
  },
];

/** Limits of the workshop, kept with every mock-up of the fleet. */
export const demoLimits: readonly Specification[] = [
  limits('duration:exhaust', 'deg', 174, 176, 178),
  limits('duration:transfers', 'deg', 121, 123, 125),
  limits('blowdown', 'deg', 24, 26.5, 29),
  limits('squish_minimum', 'mm', 0.85, 0.95, 1.1),
  limits('squish_tilt_front_rear', 'mm', -0.1, 0, 0.1),
  limits('piston_clearance', 'mm', 0.05, 0.06, 0.08),
  limits('ring_end_gap', 'mm', 0.15, 0.25, 0.4),
];

function limits(quantity: string, unit: string, lower: number, nominal: number, upper: number): Specification {
  return { quantity, nominal, lower, upper, unit, source: 'workshop sheet of the demo', sourceDate: '3rd edition' };
}

/** What a barrel of the demo is told by, and where its edges lie, degrees after true TDC. */
export interface DemoBarrel {
  readonly name: string;
  readonly marks: string;
  readonly boreMm: number;
  readonly exhaustWidthMm: number;
  readonly exhaustHeightMm: number;
  readonly transferHeightMm: number;
  /** Null for the barrel that the newcomer measures. */
  readonly measured: DemoMeasured | null;
}

/** What the workshop found at a barrel; the readings scatter about these. */
export interface DemoMeasured {
  readonly exhaustOpensAtdcDeg: number;
  readonly transfersOpenAtdcDeg: number;
  /** Crown edge below the top of the barrel. */
  readonly deckMm: number;
  /** Exhaust side less opposite side, across the squish band. */
  readonly squishTiltMm: number;
  /** Bore along the pin wider at the bottom than at the top by this much. */
  readonly boreTaperMm: number;
  readonly ringEndGapMm: number;
  readonly pouredCc: number;
}

export const demoBarrels: readonly DemoBarrel[] = [
  {
    name: 'Barrel A',
    marks: 'one punch mark',
    boreMm: 53.6,
    exhaustWidthMm: 37.2,
    exhaustHeightMm: 22.8,
    transferHeightMm: 11.5,
    measured: {
      exhaustOpensAtdcDeg: 92,
      transfersOpenAtdcDeg: 118.5,
      deckMm: 0.12,
      squishTiltMm: 0.02,
      boreTaperMm: 0.01,
      ringEndGapMm: 0.25,
      pouredCc: 10.9,
    },
  },
  {
    name: 'Barrel B',
    marks: 'two punch marks',
    boreMm: 53.61,
    exhaustWidthMm: 37.3,
    exhaustHeightMm: 23.6,
    transferHeightMm: 11.9,
    measured: {
      exhaustOpensAtdcDeg: 90,
      transfersOpenAtdcDeg: 117.5,
      deckMm: 0.24,
      squishTiltMm: -0.01,
      boreTaperMm: 0.01,
      ringEndGapMm: 0.3,
      pouredCc: 10.8,
    },
  },
  {
    name: 'Barrel C',
    marks: 'three punch marks',
    boreMm: 53.6,
    exhaustWidthMm: 36.9,
    exhaustHeightMm: 22.3,
    transferHeightMm: 11.3,
    measured: {
      exhaustOpensAtdcDeg: 93,
      transfersOpenAtdcDeg: 119,
      deckMm: 0.1,
      squishTiltMm: 0.16,
      boreTaperMm: 0.02,
      ringEndGapMm: 0.25,
      pouredCc: 11,
    },
  },
  {
    name: 'Barrel D',
    marks: 'four punch marks',
    boreMm: 53.6,
    exhaustWidthMm: 37.2,
    exhaustHeightMm: 23,
    transferHeightMm: 11.6,
    measured: null,
  },
];

export const exhaustPortId = 'exhaust';
export const transferPortId = 'transfers';

/** The floors lie where the crown stands at BDC, a stroke and the deck below the top. */
function roofBelowTop({ measured }: DemoBarrel, heightMm: number): number {
  return Number((demoStrokeMm + (measured?.deckMm ?? 0.12) - heightMm).toFixed(2));
}

export function demoBarrelPart(barrel: DemoBarrel): PartInput {
  const ports: PortInput[] = [
    {
      portId: exhaustPortId,
      kind: 'exhaust',
      label: 'Exhaust',
      widthMm: barrel.exhaustWidthMm,
      heightMm: barrel.exhaustHeightMm,
      cornerRadiusTopMm: 8,
      cornerRadiusBottomMm: 9,
      edgeFromDeckMm: roofBelowTop(barrel, barrel.exhaustHeightMm),
    },
    {
      portId: transferPortId,
      kind: 'transfer_main',
      side: 'both',
      label: 'Transfers',
      windowCount: 4,
      widthMm: 18.5,
      heightMm: barrel.transferHeightMm,
      cornerRadiusTopMm: 3,
      cornerRadiusBottomMm: 3,
      edgeFromDeckMm: roofBelowTop(barrel, barrel.transferHeightMm),
    },
    { portId: 'intake', kind: 'intake_reed', label: 'Intake (reed)' },
  ];
  return { kind: 'barrel', name: barrel.name, marks: barrel.marks, data: { boreMm: barrel.boreMm, ports } };
}
