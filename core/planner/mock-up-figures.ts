import { blowdownAngleArea, crownAngleArea, skirtAngleArea } from '../area/angle-area.ts';
import { sweptByTravel, type TimeArea, timeAreaFrom } from '../area/time-area.ts';
import { type AreaLaw, areaLawFromFloor, areaLawFromRoof, type WindowShape } from '../area/window.ts';
import { countOf, positive } from '../checks.ts';
import { type Crank, type CrankGeometry, crankFrom } from '../crank/geometry.ts';
import { ignitionMmFromDeg } from '../ignition/advance.ts';
import { crownEventsAt, depthInTravel, skirtEventsAt } from '../ports/edge-height.ts';
import { discIntakeEvents, timeMs } from '../ports/events.ts';
import { isExhaust, isTransfer, type PortKind, portKindTable } from '../ports/kinds.ts';
import { squishVelocityMax } from '../squish/velocity.ts';
import type { Cc, Deg, MetrePerSecond, Mm, Rpm } from '../units.ts';
import { discVolume } from '../volumes/burette.ts';
import { crankcaseRatio } from '../volumes/ratio.ts';

/** A port of a mock-up as its figures need it. */
export interface MockUpPort {
  readonly portId: string;
  readonly kind: PortKind;
  /** Roof below the crown's TDC position; skirt intake: floor below the skirt's. Not used for disc and reed. */
  readonly edgeDepthMm?: Mm | undefined;
  /** Rotary disc only: it doesn't move with the barrel. */
  readonly disc?: { readonly openBtdcDeg: Deg; readonly closeAtdcDeg: Deg } | undefined;
  readonly window?: WindowShape | undefined;
  /** Equal windows that this entry stands for, 1 where absent. */
  readonly windowCount?: number | undefined;
}

/** Everything about one mock-up that figures are computed from; what is absent leaves its figures out. */
export interface MockUpSizes {
  readonly geometry: CrankGeometry;
  readonly boreMm: Mm;
  readonly ports: readonly MockUpPort[];
  readonly speedRpm?: Rpm | undefined;
  /** Smallest squish gap. */
  readonly squishMm?: Mm | undefined;
  readonly clearanceVolumeCc?: Cc | undefined;
  readonly headGasketBoreMm?: Mm | undefined;
  readonly bowlDiameterMm?: Mm | undefined;
  readonly squishTaperDeg?: Deg | undefined;
  readonly crankcaseVolumeBdcCc?: Cc | undefined;
  /** Crown edge below the top of the barrel at TDC; negative where it stands proud. */
  readonly deckMm?: Mm | undefined;
  /** Before TDC, set by the stator; a change of the stack leaves it where it is. */
  readonly ignitionAdvanceDeg?: Deg | undefined;
}

export interface PortFigures {
  readonly portId: string;
  readonly kind: PortKind;
  /** Crank angles after TDC in degrees; an opening before TDC is negative. Null for a reed. */
  readonly opensAtdcDeg: Deg | null;
  readonly closesAtdcDeg: Deg | null;
  readonly durationDeg: Deg | null;
  /** All windows, opening to closing; null without a window or a speed. */
  readonly timeArea: TimeArea | null;
  readonly fullAreaMm2: number | null;
}

export interface BlowdownFigures {
  readonly exhaustPortId: string;
  readonly transferPortId: string;
  readonly blowdownDeg: Deg;
  readonly blowdownTimeMs: number | null;
  /** Of all exhaust windows, each from its own opening to that of the earliest transfer. */
  readonly timeArea: TimeArea | null;
}

export interface MockUpFigures {
  readonly travelMm: Mm;
  readonly sweptVolumeCc: Cc;
  readonly ports: readonly PortFigures[];
  /** Null unless there are exhausts and transfers; negative where a transfer opens first. */
  readonly blowdown: BlowdownFigures | null;
  readonly squishMm: Mm | null;
  readonly squishVelocity: { readonly maxSquishVelocityMps: MetrePerSecond; readonly angleBtdcDeg: Deg } | null;
  readonly clearanceVolumeCc: Cc | null;
  readonly fullStrokeRatio: number | null;
  /** From the closing of the exhaust window that shuts last. */
  readonly trappedRatio: number | null;
  readonly crankcaseRatio: number | null;
  readonly deckMm: Mm | null;
  /** Piston below TDC at the ignition. */
  readonly ignitionBtdcMm: Mm | null;
}

interface PreparedPort {
  readonly port: MockUpPort;
  readonly depthMm: Mm;
  readonly law: AreaLaw | null;
  readonly count: number;
}

/** A port that doesn't move with the barrel. */
interface FixedPort {
  readonly port: MockUpPort;
}

function prepare(crank: Crank, port: MockUpPort): PreparedPort | FixedPort {
  const { control } = portKindTable[port.kind];
  if (control === 'disc' || control === 'reed') return { port };
  const law =
    port.window === undefined
      ? null
      : control === 'crown'
        ? areaLawFromRoof(port.window)
        : areaLawFromFloor(port.window);
  return {
    port,
    depthMm: depthInTravel(crank, `${port.portId} edgeDepthMm`, port.edgeDepthMm),
    law,
    count: countOf(`${port.portId} windowCount`, port.windowCount),
  };
}

interface EventAngles {
  readonly opensAtdcDeg: Deg;
  readonly closesAtdcDeg: Deg;
  readonly durationDeg: Deg;
}

function crownAngles(crank: Crank, depthMm: Mm): EventAngles {
  const { openAtdcDeg, closeBtdcDeg, durationDeg } = crownEventsAt(crank, depthMm);
  return { opensAtdcDeg: openAtdcDeg, closesAtdcDeg: 360 - closeBtdcDeg, durationDeg };
}

function skirtAngles(crank: Crank, depthMm: Mm): EventAngles {
  const { openBtdcDeg, closeAtdcDeg, durationDeg } = skirtEventsAt(crank, depthMm);
  return { opensAtdcDeg: -openBtdcDeg, closesAtdcDeg: closeAtdcDeg, durationDeg };
}

function figuresOfMovingPort(crank: Crank, prepared: PreparedPort, timeAreaOf: TimeAreaOf): PortFigures {
  const { port, depthMm, law, count } = prepared;
  const isCrown = portKindTable[port.kind].control === 'crown';
  const angleArea = (of: AreaLaw): number =>
    count * (isCrown ? crownAngleArea(crank, of, depthMm) : skirtAngleArea(crank, of, depthMm));
  return {
    portId: port.portId,
    kind: port.kind,
    ...(isCrown ? crownAngles(crank, depthMm) : skirtAngles(crank, depthMm)),
    timeArea: law === null ? null : timeAreaOf(() => angleArea(law)),
    fullAreaMm2: law === null ? null : count * law.fullAreaMm2,
  };
}

function figuresOfFixedPort(port: MockUpPort): PortFigures {
  const common = { portId: port.portId, kind: port.kind, timeArea: null, fullAreaMm2: null };
  if (port.disc === undefined) return { ...common, opensAtdcDeg: null, closesAtdcDeg: null, durationDeg: null };
  const { openBtdcDeg, closeAtdcDeg } = port.disc;
  const { durationDeg } = discIntakeEvents(openBtdcDeg, closeAtdcDeg);
  return { ...common, opensAtdcDeg: -openBtdcDeg, closesAtdcDeg: closeAtdcDeg, durationDeg };
}

/** Turns an angle-area into time-areas, or into nothing where no speed is known. */
type TimeAreaOf = (angleArea: () => number) => TimeArea | null;

const shallowest = (a: PreparedPort, b: PreparedPort): PreparedPort => (b.depthMm < a.depthMm ? b : a);

function blowdownFigures(
  crank: Crank,
  exhausts: readonly PreparedPort[],
  transfers: readonly PreparedPort[],
  speedRpm: Rpm | null,
  timeAreaOf: TimeAreaOf,
): BlowdownFigures | null {
  if (exhausts.length === 0 || transfers.length === 0) return null;
  const exhaust = exhausts.reduce(shallowest);
  const transfer = transfers.reduce(shallowest);
  const blowdownDeg =
    crownEventsAt(crank, transfer.depthMm).openAtdcDeg - crownEventsAt(crank, exhaust.depthMm).openAtdcDeg;
  const open = exhausts.filter(({ depthMm }) => depthMm < transfer.depthMm);
  const angleArea = (): number =>
    open.reduce(
      (sum, { law, depthMm, count }) =>
        law === null ? sum : sum + count * blowdownAngleArea(crank, law, depthMm, transfer.depthMm),
      0,
    );
  return {
    exhaustPortId: exhaust.port.portId,
    transferPortId: transfer.port.portId,
    blowdownDeg,
    blowdownTimeMs: speedRpm === null ? null : timeMs(blowdownDeg, speedRpm),
    timeArea: exhausts.some(({ law }) => law === null) ? null : timeAreaOf(angleArea),
  };
}

/**
 * All figures of a mock-up: events and durations, blowdown, time-areas, squish and its velocity, ratios.
 * @throws missing, non_positive, negative, rod_too_short, out_of_range, inconsistent
 */
export function mockUpFigures(sizes: MockUpSizes): MockUpFigures {
  const crank = crankFrom(sizes.geometry);
  const boreMm = positive('boreMm', sizes.boreMm);
  const speedRpm = sizes.speedRpm === undefined ? null : positive('speedRpm', sizes.speedRpm);
  const clearanceVolumeCc =
    sizes.clearanceVolumeCc === undefined ? null : positive('clearanceVolumeCc', sizes.clearanceVolumeCc);
  const squishMm = sizes.squishMm === undefined ? null : positive('squishMm', sizes.squishMm);
  const sweptVolumeCc = sweptByTravel(crank, boreMm);
  const timeAreaOf: TimeAreaOf = (angleArea) =>
    speedRpm === null ? null : timeAreaFrom(angleArea(), speedRpm, sweptVolumeCc);
  const prepared = sizes.ports.map((port) => prepare(crank, port));
  const moving = prepared.filter((port) => 'law' in port);
  const exhausts = moving.filter(({ port }) => isExhaust(port.kind));
  const transfers = moving.filter(({ port }) => isTransfer(port.kind));
  const lastExhaust = exhausts.length === 0 ? null : exhausts.reduce(shallowest);
  const ratioOf = (compressedCc: Cc): number | null =>
    clearanceVolumeCc === null ? null : 1 + compressedCc / clearanceVolumeCc;
  const { bowlDiameterMm, squishTaperDeg, crankcaseVolumeBdcCc } = sizes;
  return {
    travelMm: crank.travelMm,
    sweptVolumeCc,
    ports: prepared.map((port) =>
      'law' in port ? figuresOfMovingPort(crank, port, timeAreaOf) : figuresOfFixedPort(port.port),
    ),
    blowdown: blowdownFigures(crank, exhausts, transfers, speedRpm, timeAreaOf),
    squishMm,
    squishVelocity:
      squishMm === null || clearanceVolumeCc === null || bowlDiameterMm === undefined || speedRpm === null
        ? null
        : squishVelocityMax({
            geometry: sizes.geometry,
            boreMm,
            bowlDiameterMm,
            squishMm,
            clearanceVolumeCc,
            speedRpm,
            taperDeg: squishTaperDeg,
          }),
    clearanceVolumeCc,
    fullStrokeRatio: ratioOf(sweptVolumeCc),
    trappedRatio: lastExhaust === null ? null : ratioOf(discVolume(boreMm, lastExhaust.depthMm)),
    crankcaseRatio:
      crankcaseVolumeBdcCc === undefined
        ? null
        : crankcaseRatio({ sweptVolumeCc, caseVolumeBdcCc: crankcaseVolumeBdcCc }),
    deckMm: sizes.deckMm ?? null,
    ignitionBtdcMm:
      sizes.ignitionAdvanceDeg === undefined ? null : ignitionMmFromDeg(sizes.geometry, sizes.ignitionAdvanceDeg),
  };
}
