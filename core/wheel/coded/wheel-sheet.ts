import { within } from '../../checks.ts';
import { faceRadii, type NumbersGrow, type RingPiece, wheelFace } from './wheel-face.ts';

/** A page with a wheel to cut out, as shapes in mm: x to the right and y downwards from the top left corner of the paper. */
export interface WheelSheet {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly centreMm: readonly [number, number];
  readonly shapes: readonly SheetShape[];
}

export type SheetShape =
  /** Dark piece of a ring, angles clockwise from upwards. */
  | {
      readonly kind: 'piece';
      readonly centreMm: readonly [number, number];
      readonly fromDeg: number;
      readonly toDeg: number;
      readonly innerMm: number;
      readonly outerMm: number;
    }
  | {
      readonly kind: 'circle';
      readonly centreMm: readonly [number, number];
      readonly radiusMm: number;
      readonly lineMm: number;
    }
  | {
      readonly kind: 'line';
      readonly fromMm: readonly [number, number];
      readonly toMm: readonly [number, number];
      readonly lineMm: number;
    }
  | {
      readonly kind: 'text';
      readonly text: string;
      /** Left end or middle of the base line. */
      readonly atMm: readonly [number, number];
      readonly anchor: 'start' | 'middle';
      readonly sizeMm: number;
      /** Turn of the text about that point, degrees clockwise. */
      readonly turnDeg: number;
      readonly isBold: boolean;
    };

export const papers = {
  a4: { name: 'A4', widthMm: 210, heightMm: 297, usualDiameterMm: 190, barMm: 100 },
  a3: { name: 'A3', widthMm: 297, heightMm: 420, usualDiameterMm: 275, barMm: 200 },
  letter: { name: 'Letter', widthMm: 215.9, heightMm: 279.4, usualDiameterMm: 190, barMm: 100 },
} as const;
export type PaperName = keyof typeof papers;
export const paperNames = Object.keys(papers) as PaperName[];

/** Printers leave this much of the paper white. */
const marginMm = 8;
/** Below this the numerals can't be read at arm's length any more. */
export const leastDiameterMm = 90;
export const usualBoreMm = 10;
const leastBoreMm = 2;
/** The hole must leave the coded ring and the cross-hair outside it. */
const mostBoreOfDiameter = 0.5;

/** Largest wheel that the paper takes, mm. */
export function mostDiameterMm(paper: PaperName): number {
  const { widthMm, usualDiameterMm } = papers[paper];
  return Math.max(usualDiameterMm, Math.floor(Math.min(widthMm - 2 * marginMm, usualDiameterMm + 4)));
}

export interface WheelSheetWishes {
  readonly paper: PaperName;
  /** Diameter at the cut line; the largest usual one of the paper where absent. */
  readonly diameterMm?: number | undefined;
  readonly boreMm?: number | undefined;
  readonly grows: NumbersGrow;
}

/**
 * Lays out the page: the wheel at the top, below it what to measure and to heed.
 * @throws out_of_range where the wheel doesn't fit the paper or the hole the wheel
 */
export function wheelSheet(wishes: WheelSheetWishes): WheelSheet {
  const paper = papers[wishes.paper];
  const diameterMm = within(
    'diameterMm',
    wishes.diameterMm ?? paper.usualDiameterMm,
    leastDiameterMm,
    mostDiameterMm(wishes.paper),
    `choose a diameter that ${paper.name} paper takes, or larger paper.`,
  );
  const boreMm = within(
    'boreMm',
    wishes.boreMm ?? usualBoreMm,
    leastBoreMm,
    mostBoreOfDiameter * diameterMm,
    'the coded ring needs the room outside it.',
  );
  const radiusMm = diameterMm / 2;
  const centreMm = [paper.widthMm / 2, marginMm + radiusMm] as const;
  return {
    widthMm: paper.widthMm,
    heightMm: paper.heightMm,
    centreMm,
    shapes: [
      ...faceShapes(wishes.grows, centreMm, radiusMm, boreMm),
      ...checkBars(paper),
      ...notes(paper, centreMm[1] + radiusMm, diameterMm, boreMm, wishes.grows),
    ],
  };
}

const cutLineMm = 0.2;
const hairMm = 0.15;

function faceShapes(
  grows: NumbersGrow,
  centreMm: readonly [number, number],
  radiusMm: number,
  boreMm: number,
): SheetShape[] {
  const face = wheelFace(grows);
  const [x, y] = centreMm;
  const piece = ({ fromDeg, toDeg, inner, outer }: RingPiece): SheetShape => ({
    kind: 'piece',
    centreMm,
    fromDeg,
    toDeg,
    innerMm: inner * radiusMm,
    outerMm: outer * radiusMm,
  });
  const size = faceRadii.numeralHeight * radiusMm;
  const numerals = face.numerals.map(({ text, atDeg }): SheetShape => {
    const t = (atDeg * Math.PI) / 180;
    // The base line lies half a figure's height inside the numerals' circle.
    const r = faceRadii.numeralMiddle * radiusMm - (size * figureHeightOfSize) / 2;
    return {
      kind: 'text',
      text,
      atMm: [x + r * Math.sin(t), y - r * Math.cos(t)],
      anchor: 'middle',
      sizeMm: size,
      turnDeg: atDeg,
      isBold: true,
    };
  });
  const hair = faceRadii.crossHair * radiusMm;
  const label = (text: string, atOfRadius: number, isBold: boolean): SheetShape => ({
    kind: 'text',
    text,
    atMm: [x, y + atOfRadius * radiusMm],
    anchor: 'middle',
    sizeMm: 0.045 * radiusMm,
    turnDeg: 0,
    isBold,
  });
  return [
    { kind: 'circle', centreMm, radiusMm, lineMm: cutLineMm },
    { kind: 'circle', centreMm, radiusMm: boreMm / 2, lineMm: cutLineMm },
    { kind: 'line', fromMm: [x - hair, y], toMm: [x + hair, y], lineMm: hairMm },
    { kind: 'line', fromMm: [x, y - hair], toMm: [x, y + hair], lineMm: hairMm },
    ...face.ticks.map(piece),
    ...face.cells.map(piece),
    ...numerals,
    label('Portsight', -0.5, true),
    label(`numbers grow ${grows}`, -0.43, false),
    label('turn by hand only', 0.47, false),
  ];
}

/** Height of the figures of the sheet's letters, in letter sizes. */
const figureHeightOfSize = 0.72;

/** Two bars to lay a rule on, one in each direction, with a stroke every 10 mm. */
function checkBars(paper: (typeof papers)[PaperName]): SheetShape[] {
  const { heightMm, barMm } = paper;
  const left = 13;
  const bottom = heightMm - 11;
  const upright = bottom - barMm;
  const across = left + 11;
  const shapes: SheetShape[] = [
    { kind: 'line', fromMm: [across, bottom], toMm: [across + barMm, bottom], lineMm: hairMm },
    { kind: 'line', fromMm: [left, upright], toMm: [left, bottom], lineMm: hairMm },
    barLabel([across + barMm / 2, bottom + 4.2], `this bar must measure ${barMm} mm`, 0),
    barLabel([left - 3, upright + barMm / 2], `this bar must measure ${barMm} mm`, -90),
  ];
  for (let mm = 0; mm <= barMm; mm += 10) {
    const length = mm % 50 === 0 ? 2.4 : 1.2;
    shapes.push(
      { kind: 'line', fromMm: [across + mm, bottom - length], toMm: [across + mm, bottom], lineMm: hairMm },
      { kind: 'line', fromMm: [left, upright + mm], toMm: [left + length, upright + mm], lineMm: hairMm },
    );
  }
  return shapes;
}

function barLabel(atMm: readonly [number, number], text: string, turnDeg: number): SheetShape {
  return { kind: 'text', text, atMm, anchor: 'middle', sizeMm: 2.8, turnDeg, isBold: false };
}

/** What has to be done and heeded, in the room below the wheel. */
function notes(
  paper: (typeof papers)[PaperName],
  wheelBottomMm: number,
  diameterMm: number,
  boreMm: number,
  grows: NumbersGrow,
): SheetShape[] {
  const { barMm } = paper;
  const turns = grows === 'clockwise' ? 'anticlockwise' : 'clockwise';
  const lines: readonly (readonly [string, boolean])[] = [
    [`Degree wheel ${diameterMm} mm, hole ${boreMm} mm, numbers growing ${grows}`, true],
    [
      `Print at actual size (100 %), never fitted to the page. Measure both bars with a steel rule: ${barMm} mm each.`,
      false,
    ],
    [
      'Both off alike: set the scale to 100 % and print again. Only one off: the printer stretches one way, and every',
      false,
    ],
    ['0.5 mm in 100 mm bends the scale by 0.14 degrees. Use another printer.', false],
    [
      'Glue it flat on a stiff disc (3 mm plywood, acrylic or aluminium), then cut along the outer circle and bore the',
      false,
    ],
    ['hole on the cross-hair. Keep the face matt: a glossy film mirrors the lamp.', false],
    [`Under a fixed pointer the numbers rise when this face turns ${turns}.`, false],
    [
      'The black and white cells tell the camera where the wheel stands; an arc of 60 degrees in view is enough.',
      false,
    ],
    [
      'Caution: turn the crank by hand only, ignition off, spark plug out and its lead earthed. Never start the engine',
      true,
    ],
    [
      'with this wheel on: it would fly apart. Fingers out of the ports. Take a piston stop out before turning past it.',
      true,
    ],
  ];
  const sizeMm = 3.1;
  const leadingMm = 4.5;
  const bottomMm = paper.heightMm - 18;
  const topMm = Math.min(wheelBottomMm + 9, bottomMm - leadingMm * lines.length);
  return lines.map(
    ([text, isBold], i): SheetShape => ({
      kind: 'text',
      text,
      atMm: [24, topMm + i * leadingMm + (i > 0 ? 1 : 0)],
      anchor: 'start',
      sizeMm: i === 0 ? 4 : sizeMm,
      turnDeg: 0,
      isBold,
    }),
  );
}
