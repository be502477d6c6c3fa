import { AreaChart } from '../../drawings/area-chart.tsx';
import { PortMap } from '../../drawings/port-map.tsx';
import { shownSizes } from '../../parts/shown-size.ts';
import { type PortMapSheetData, paperSizes } from './sheet-data.ts';
import { Sentences, SheetPage } from './sheet-page.tsx';
import { TableOfSheet } from './sheet-table.tsx';

const sideMarginMm = 13;
/** More ports than that need the chart's room for their rows; the chart stands on the screen. */
const mostPortsWithChart = { A4: 4, Letter: 2 } as const;

/** The unrolled bore on paper, full size where it fits, with the sizes of its windows and what they let through. */
export function PortMapSheet({ data }: { data: PortMapSheetData }) {
  const shown = shownSizes(data.units);
  // A full-size map may reach further into the margins than the text does.
  const overhangMm = Math.max(0, (data.mapWidthMm - (paperSizes[data.paper].widthMm - 2 * sideMarginMm)) / 2);
  return (
    <SheetPage data={data} signature="Measured and signed, date">
      <div className="sheet-drawing" style={{ margin: `0 -${overhangMm.toFixed(2)}mm` }}>
        <PortMap
          data={data.map}
          title="Port map"
          lengthText={(valueMm) => shown.length(valueMm)}
          printedWidth={`${data.mapWidthMm.toFixed(2)}mm`}
        />
      </div>
      <p className="sheet-note">{data.scale}</p>
      {data.tables.map((table) => (
        <TableOfSheet key={table.title} table={table} />
      ))}
      {data.chart.series.length > mostPortsWithChart[data.paper] ? null : (
        <div className="sheet-drawing">
          <AreaChart
            data={data.chart}
            title="Open area against the crank angle"
            areaFactor={shown.perMm ** 2}
            areaUnit={shown.areaUnit}
            decimalMark={data.units.decimalMark}
            printedWidth="118mm"
          />
        </div>
      )}
      <div className="sheet-columns">
        <Sentences title="What it rests on" sentences={data.remarks} />
        <Sentences title="Cautions" sentences={data.cautions} />
      </div>
    </SheetPage>
  );
}
