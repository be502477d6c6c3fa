import type { Port } from '../../../core/contract/parts.ts';
import type { SizesOfMockUp } from '../../../core/mockup/sizes.ts';
import { type FigureKind, portFigureKey } from '../../../core/planner/figure-list.ts';
import { mockUpFigures } from '../../../core/planner/mock-up-figures.ts';
import { portKindTable } from '../../../core/ports/kinds.ts';
import { chordToArc } from '../../../core/ports/widths.ts';
import { areaChartData, openingsOf, portMapData } from '../../drawings/port-data.ts';
import { fullSizeWidthMm } from '../../drawings/port-map.tsx';
import { figureTitle, shownExpanded, shownFigure } from '../../parts/figure-words.ts';
import { type ShownSizes, shownSizes } from '../../parts/shown-size.ts';
import { foundFigures } from '../../state/found-figures.ts';
import { type PortMapSheetData, paperSizes, type SheetTable, sheetCautions } from './sheet-data.ts';
import { type SizedSheetInput, sheetHead } from './timing-sheet-data.ts';

/** Least white at either side of a drawing that is printed full size. */
const narrowMarginMm = 6;
const usualMarginMm = 13;

/**
 * The port map of a mock-up on paper.
 * @returns null where no window has both its sizes and its height
 */
export function portMapSheetData(input: SizedSheetInput): PortMapSheetData | null {
  const { whole, preferences, found } = input;
  const { sizes } = found;
  if (sizes === null || whole.barrel.kind !== 'barrel') return null;
  const figures = mockUpFigures(sizes);
  const map = portMapData(whole, sizes, figures);
  if (map.data.ports.length === 0) return null;
  const shown = shownSizes(preferences);
  const { ports } = whole.barrel.data;
  const { widthMm: paperMm } = paperSizes[preferences.paperSize];
  const fullMm = fullSizeWidthMm(sizes.boreMm);
  const isFullSize = fullMm <= paperMm - 2 * narrowMarginMm;
  const mapWidthMm = isFullSize ? fullMm : paperMm - 2 * usualMarginMm;
  return {
    kind: 'port_map',
    ...sheetHead('Port map', input),
    map: map.data,
    units: { lengthUnit: preferences.lengthUnit, decimalMark: preferences.decimalMark },
    mapWidthMm,
    scale: isFullSize
      ? `Full size where the bars measure 100 mm; its top line is ${map.data.deckMm === null ? 'the crown edge at TDC' : 'the top of the barrel'}.`
      : `Drawn at ${shown.number(mapWidthMm / fullMm, 3)} of full size; the paper is too narrow for this bore.`,
    chart: areaChartData(openingsOf(ports, sizes), figures),
    tables: [windowTable(ports, found, shown), areaTable(ports, found, shown)],
    remarks: [
      'The bore unrolled, seen from inside. Heights and developed widths are to scale; places round the bore are laid out by kind and side, for they are not measured.',
      ...(map.notDrawn.length === 0 ? [] : [`Not drawn, sizes or height missing: ${map.notDrawn.join(', ')}.`]),
      ...found.remarks,
    ],
    cautions: sheetCautions,
  };
}

function windowTable(ports: readonly Port[], { sizes, edgeDepths }: SizesOfMockUp, shown: ShownSizes): SheetTable {
  const length = (valueMm: number | null) => (valueMm === null ? 'open' : shown.bareLength(valueMm));
  const boreMm = sizes?.boreMm ?? 0;
  return {
    title: `Windows, ${shown.lengthUnit}`,
    columns: [
      'Port',
      'Windows',
      'Chord',
      'Developed',
      'Height',
      'Upper radius',
      'Lower radius',
      'Edge below crown at TDC',
    ],
    rows: ports
      .filter(({ kind }) => portKindTable[kind].hasAreaLaw)
      .map((port) => [
        port.label,
        String(port.windowCount),
        length(port.widthMm),
        length(port.widthMm === null || port.widthMm > boreMm ? null : chordToArc(boreMm, port.widthMm).arcMm),
        length(port.heightMm),
        length(port.cornerRadiusTopMm),
        length(port.cornerRadiusBottomMm),
        length(edgeDepths.find(({ portId }) => portId === port.portId)?.depthMm.value ?? null),
      ]),
  };
}

const printedKinds = ['opens', 'duration', 'full_area', 'time_area', 'specific_time_area'] as const;

function areaTable(ports: readonly Port[], found: SizesOfMockUp, shown: ShownSizes): SheetTable {
  const all = foundFigures(found);
  const text = (key: string) => {
    const figure = all.get(key);
    if (figure === undefined) return 'open';
    const { item, value } = figure;
    const u = value.sigma === 0 ? '' : ` ± ${shownExpanded(item, value.sigma, shown)}`;
    return `${shownFigure(item, value.value, shown)}${u}`;
  };
  const speed = found.sizes?.speedRpm;
  const ofPort = (port: Port) => printedKinds.map((kind: FigureKind) => text(portFigureKey(kind, port.portId)));
  return {
    title: `Timing and areas${speed === undefined ? '' : ` at ${shown.number(speed, 0)} rev/min`}, ± U (k = 2)`,
    columns: ['Port', 'Opens', 'Duration', 'Area of the windows', 'Time-area', 'Specific time-area'],
    rows: [
      ...ports.filter(({ kind }) => portKindTable[kind].edges.length > 0).map((port) => [port.label, ...ofPort(port)]),
      [
        figureTitle({ kind: 'blowdown', portId: null }, ports),
        '',
        text('blowdown'),
        '',
        text('blowdown_time_area'),
        text('blowdown_specific_time_area'),
      ],
    ],
  };
}
