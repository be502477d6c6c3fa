import { renderToStaticMarkup } from 'react-dom/server';
import { describe, expect, it } from 'vitest';
import { openingCourse, portOpening } from '../../../core/area/open-area.ts';
import { crankFrom } from '../../../core/crank/geometry.ts';
import { AreaChart, type AreaChartData, cursorAfter } from '../../../renderer/drawings/area-chart.tsx';

const crank = crankFrom({ strokeMm: 54.5, rodLengthMm: 110 });
const window = { widthMm: 36, heightMm: 24, radiusTopMm: 6, radiusBottomMm: 6 };
const exhaust = portOpening(crank, { control: 'crown', edgeDepthMm: 30, window });
const transfer = portOpening(crank, {
  control: 'crown',
  edgeDepthMm: 43,
  window: { widthMm: 18, heightMm: 11 },
  windowCount: 4,
});
const data: AreaChartData = {
  series: [
    { portId: 'e', label: 'Exhaust', kind: 'exhaust', points: openingCourse(exhaust, 2) },
    { portId: 't', label: 'Transfers', kind: 'transfer_main', points: openingCourse(transfer, 2) },
  ],
  blowdown: { fromDeg: exhaust.opensDeg, toDeg: transfer.opensDeg },
};

describe('open area against the crank angle', () => {
  it('draws one course a port, from the axis at its opening to the axis at its closing', () => {
    const markup = renderToStaticMarkup(<AreaChart data={data} title="Areas" areaFactor={1} areaUnit="mm²" />);
    const courses = [...markup.matchAll(/class="span span-[a-z]+" d="([^"]+)"/g)].map(([, path]) =>
      [...(path ?? '').matchAll(/[ML]([\d.]+) ([\d.]+)/g)].map(([, x, y]) => ({
        deg: ((Number(x) - 17) / 174) * 360,
        y: Number(y),
      })),
    );
    expect(courses).toHaveLength(2);
    for (const [index, opening] of [exhaust, transfer].entries()) {
      const course = courses[index] ?? [];
      const floor = course[0]?.y ?? 0;
      const open = course.filter(({ y }) => y < floor);
      expect(Math.min(...open.map(({ deg }) => deg))).toBeGreaterThan(opening.opensDeg - 0.1);
      expect(Math.max(...open.map(({ deg }) => deg))).toBeLessThan(opening.closesDeg + 0.1);
      expect(course.some(({ deg, y }) => Math.abs(deg - opening.opensDeg) < 0.05 && y === floor)).toBe(true);
    }
  });

  it('has a cursor that says where it stands, on screen only', () => {
    const withCursor = renderToStaticMarkup(
      <AreaChart
        data={data}
        title="Areas"
        areaFactor={1}
        areaUnit="mm²"
        cursor={{ crankDeg: 100, spoken: '100.0 deg after TDC, Exhaust 200 mm²', onChange: () => {} }}
      />,
    );
    expect(withCursor).toContain('role="slider"');
    expect(withCursor).toContain('aria-valuetext="100.0 deg after TDC, Exhaust 200 mm²"');
    expect(renderToStaticMarkup(<AreaChart data={data} title="Areas" areaFactor={1} areaUnit="mm²" />)).not.toContain(
      'slider',
    );
  });

  it.each([
    ['ArrowRight', 100, false, 101],
    ['ArrowLeft', 100, true, 90],
    ['ArrowLeft', 0.4, false, 0],
    ['ArrowRight', 355, true, 360],
    ['PageUp', 100, false, 118.2],
    ['PageUp', 118.2, false, 241.8],
    ['PageUp', 300, false, 360],
    ['PageDown', 118.2, false, 91.6],
    ['PageDown', 50, false, 0],
    ['Home', 100, false, 0],
    ['End', 100, false, 360],
  ])('%s from %f leads (far: %s) to %f', (key, from, isFar, to) => {
    expect(cursorAfter(key, from, isFar, [91.6, 118.2, 241.8, 268.4])).toBe(to);
  });

  it('leaves other keys alone', () => {
    expect(cursorAfter('5', 100, false, [])).toBeNull();
    expect(cursorAfter('Escape', 100, false, [])).toBeNull();
  });

  it('numbers its axis in the unit and with the decimal mark asked for', () => {
    const inches = { data, title: 'Areas', areaFactor: 1 / 25.4 ** 2, areaUnit: 'in²' };
    const ticks = (markup: string) => [...markup.matchAll(/text-anchor="end">([\d.,]+)</g)].map(([, text]) => text);
    expect(ticks(renderToStaticMarkup(<AreaChart {...inches} />))).toEqual(['0.2', '0.4', '0.6', '0.8', '1.0', '1.2']);
    expect(ticks(renderToStaticMarkup(<AreaChart {...inches} decimalMark="comma" />))).toContain('0,2');
  });

  it('is drawn as kept', async () => {
    await expect(
      renderToStaticMarkup(<AreaChart data={data} title="Areas" areaFactor={1} areaUnit="mm²" printedWidth="170mm" />),
    ).toMatchFileSnapshot('snapshots/area-chart.svg');
  });
});
