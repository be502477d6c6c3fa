import { AreaChart } from '../../drawings/area-chart.tsx';
import { PortMap } from '../../drawings/port-map.tsx';
import { shownSizes } from '../../parts/shown-size.ts';
import { type PortMapSheetData, paperSizes } from './sheet-data.ts';
import { Sentences, SheetPage } from './sheet-page.tsx';
import { TableOfSheet } from './sheet-table.tsx';

const sideMarginMm = 13;
/** With more ports than that the chart, the areas and what they rest on stand overleaf. */
const mostPortsOnOnePage = { A4: 3, Letter: 2 } as const;
const chartWidthMm = { A4: 118, Letter: 96 } as const;

/** The unrolled bore on paper, full size where it fits, with the sizes of its windows and what they let through. */
export function PortMapSheet({ data }: { data: PortMapSheetData }) {
  const shown = shownSizes(data.units);
  // A full-size map may reach further into the margins than the text does.
  const overhangMm = Math.max(0, (data.mapWidthMm - (paperSizes[data.paper].widthMm - 2 * sideMarginMm)) / 2);
  const map = (
    <>
      <div className="sheet-drawing" style={{ margin: `0 -${overhangMm.toFixed(2)}mm` }}>
        <PortMap
          data={data.map}
          title="Port map"
          lengthText={(valueMm) => shown.length(valueMm)}
          printedWidth={`${data.mapWidthMm.toFixed(2)}mm`}
        />
      </div>
      <p className="sheet-note">{data.scale}</p>
    </>
  );
  const tables = data.tables.map((table) => <TableOfSheet key={table.title} table={table} />);
  const isOnePage = data.chart.series.length <= mostPortsOnOnePage[data.paper];
  const rest = (
    <>
      <div className="sheet-drawing">
        <AreaChart
          data={data.chart}
          title="Open area against the crank angle"
          areaFactor={shown.perMm ** 2}
          areaUnit={shown.areaUnit}
          decimalMark={data.units.decimalMark}
          printedWidth={isOnePage ? `${chartWidthMm[data.paper]}mm` : '168mm'}
        />
      </div>
      <div className="sheet-columns">
        <Sentences title="What it rests on" sentences={data.remarks} />
        <Sentences title="Cautions" sentences={data.cautions} />
      </div>
    </>
  );
  const signature = 'Measured and signed, date';
  if (isOnePage) {
    return (
      <SheetPage data={data} signature={signature}>
        {map}
        {tables}
        {rest}
      </SheetPage>
    );
  }
  return (
    <>
      <SheetPage data={data} page="page 1 of 2" signature={signature}>
        {map}
        {tables}
      </SheetPage>
      <SheetPage data={data} page="page 2 of 2" signature={signature}>
        {rest}
      </SheetPage>
    </>
  );
}
