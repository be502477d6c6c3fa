import type { InputOf } from '../../core/contract/messages.ts';

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

export const demoEngine: PartInput = {
  kind: 'engine',
  name: 'Hire kart engine 123 cc',
  marks: 'Fleet number 7',
  data: { strokeMm: 54.5, rodLengthMm: 110, speedRpm: 11_500, crankcaseVolumeBdcCc: 310, ignitionAdvanceDeg: 17 },
};

export const demoPiston: PartInput = {
  kind: 'piston',
  name: 'Piston, first size',
  marks: 'Arrow to the exhaust',
  data: { diameterMm: 53.54, gaugeHeightMm: 12, skirtLengthMm: 38 },
};

export const demoHead: PartInput = {
  kind: 'head',
  name: 'Head, fleet standard',
  data: { volumeCc: 10.9, bowlDiameterMm: 38, squishBandTaperDeg: 1 },
};

export const demoGaskets: readonly PartInput[] = [
  { kind: 'gasket', name: 'Base gasket 0.5', data: { place: 'base', thicknessNewMm: 0.5, thicknessCrushedMm: 0.45 } },
  { kind: 'gasket', name: 'Base gasket 0.8', data: { place: 'base', thicknessNewMm: 0.8, thicknessCrushedMm: 0.72 } },
];

/** What a barrel of the demo is told by, and where its edges lie, degrees after true TDC. */
export interface DemoBarrel {
  readonly name: string;
  readonly marks: string;
  readonly boreMm: number;
  readonly exhaustWidthMm: number;
  readonly exhaustHeightMm: number;
  readonly transferHeightMm: number;
  /** Null for the barrel that the newcomer measures. */
  readonly timing: { readonly exhaustOpensAtdcDeg: number; readonly transfersOpenAtdcDeg: number } | null;
}

export const demoBarrels: readonly DemoBarrel[] = [
  {
    name: 'Barrel A',
    marks: 'one punch mark',
    boreMm: 53.6,
    exhaustWidthMm: 37.2,
    exhaustHeightMm: 22.8,
    transferHeightMm: 11.5,
    timing: { exhaustOpensAtdcDeg: 92, transfersOpenAtdcDeg: 118.5 },
  },
  {
    name: 'Barrel B',
    marks: 'two punch marks',
    boreMm: 53.61,
    exhaustWidthMm: 37.3,
    exhaustHeightMm: 23.6,
    transferHeightMm: 11.9,
    timing: { exhaustOpensAtdcDeg: 90, transfersOpenAtdcDeg: 117.5 },
  },
  {
    name: 'Barrel C',
    marks: 'three punch marks',
    boreMm: 53.6,
    exhaustWidthMm: 36.9,
    exhaustHeightMm: 22.3,
    transferHeightMm: 11.3,
    timing: { exhaustOpensAtdcDeg: 93, transfersOpenAtdcDeg: 119 },
  },
  {
    name: 'Barrel D',
    marks: 'four punch marks',
    boreMm: 53.6,
    exhaustWidthMm: 37.2,
    exhaustHeightMm: 23,
    transferHeightMm: 11.6,
    timing: null,
  },
];

export const exhaustPortId = 'exhaust';
export const transferPortId = 'transfers';

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
      edgeFromDeckMm: 54.5 - barrel.exhaustHeightMm,
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
      edgeFromDeckMm: 54.5 - barrel.transferHeightMm,
    },
    { portId: 'intake', kind: 'intake_reed', label: 'Intake (reed)' },
  ];
  return { kind: 'barrel', name: barrel.name, marks: barrel.marks, data: { boreMm: barrel.boreMm, ports } };
}
