/** What opens and closes a port. */
export type PortControl = 'crown' | 'skirt' | 'disc' | 'reed';

/** Dead centre about which the open period of a port lies. */
export type DeadCentre = 'tdc' | 'bdc';

export const portKinds = [
  'exhaust',
  'auxiliary_exhaust',
  'transfer_main',
  'transfer_secondary',
  'boost',
  'intake_skirt',
  'intake_disc',
  'intake_reed',
] as const;
export type PortKind = (typeof portKinds)[number];

export type PortEdge = 'opens' | 'closes';
export type PortFamily = 'exhaust' | 'transfer' | 'intake';

/** How an event's angle is quoted on bench and sheet. */
export type EventReference = 'atdc' | 'btdc';

export interface PortKindRow {
  readonly kind: PortKind;
  /** Plain name for screens and sheets. */
  readonly title: string;
  readonly family: PortFamily;
  readonly control: PortControl;
  /** Edges that have an angle; a reed has none. */
  readonly edges: readonly PortEdge[];
  /** Which edge of the window decides: the roof (crown), the floor (skirt), none (disc, reed). */
  readonly decidedBy: 'roof' | 'floor' | null;
  /** The dead centre in the middle of the open period, where there is one by design. */
  readonly openAround: DeadCentre | null;
  /** True where opening and closing mirror about a dead centre on a crank without offset. */
  readonly isSymmetric: boolean;
  readonly quoted: Readonly<Record<PortEdge, EventReference>> | null;
  /** Open interval of legal angles, in the quoted reference; null where the kind has no angles. */
  readonly legalDeg: { readonly lower: number; readonly upper: number } | null;
  /** Has an effective window area that core computes from its drawing. */
  readonly hasAreaLaw: boolean;
}

const bothEdges = ['opens', 'closes'] as const;

const crownRow = {
  control: 'crown',
  edges: bothEdges,
  decidedBy: 'roof',
  openAround: 'bdc',
  isSymmetric: true,
} as const;
const crownAngles = {
  quoted: { opens: 'atdc', closes: 'btdc' },
  legalDeg: { lower: 0, upper: 180 },
  hasAreaLaw: true,
} as const;

/** One row a kind; screens, checks and drawings read it instead of asking for names. */
export const portKindTable: Readonly<Record<PortKind, PortKindRow>> = {
  exhaust: { kind: 'exhaust', title: 'Exhaust', family: 'exhaust', ...crownRow, ...crownAngles },
  auxiliary_exhaust: {
    kind: 'auxiliary_exhaust',
    title: 'Auxiliary exhaust',
    family: 'exhaust',
    ...crownRow,
    ...crownAngles,
  },
  transfer_main: { kind: 'transfer_main', title: 'Main transfer', family: 'transfer', ...crownRow, ...crownAngles },
  transfer_secondary: {
    kind: 'transfer_secondary',
    title: 'Secondary transfer',
    family: 'transfer',
    ...crownRow,
    ...crownAngles,
  },
  boost: { kind: 'boost', title: 'Boost port', family: 'transfer', ...crownRow, ...crownAngles },
  intake_skirt: {
    kind: 'intake_skirt',
    title: 'Intake, piston skirt',
    family: 'intake',
    control: 'skirt',
    edges: bothEdges,
    decidedBy: 'floor',
    openAround: 'tdc',
    isSymmetric: true,
    quoted: { opens: 'btdc', closes: 'atdc' },
    legalDeg: { lower: 0, upper: 180 },
    hasAreaLaw: true,
  },
  intake_disc: {
    kind: 'intake_disc',
    title: 'Intake, rotary disc',
    family: 'intake',
    control: 'disc',
    edges: bothEdges,
    decidedBy: null,
    openAround: null,
    isSymmetric: false,
    quoted: { opens: 'btdc', closes: 'atdc' },
    // A disc may open before BDC of the turn before and close before TDC; only the total is bounded by one turn.
    legalDeg: { lower: -360, upper: 360 },
    hasAreaLaw: false,
  },
  intake_reed: {
    kind: 'intake_reed',
    title: 'Intake, reed',
    family: 'intake',
    control: 'reed',
    edges: [],
    decidedBy: null,
    openAround: null,
    isSymmetric: false,
    quoted: null,
    legalDeg: null,
    hasAreaLaw: false,
  },
};

export const isExhaust = (kind: PortKind): boolean => portKindTable[kind].family === 'exhaust';
export const isTransfer = (kind: PortKind): boolean => portKindTable[kind].family === 'transfer';
export const isIntake = (kind: PortKind): boolean => portKindTable[kind].family === 'intake';
