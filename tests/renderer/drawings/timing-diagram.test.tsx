import { renderToStaticMarkup } from 'react-dom/server';
import { describe, expect, it } from 'vitest';
import { TimingBand } from '../../../renderer/drawings/timing-band.tsx';
import {
  type DiagramPort,
  openSpanDeg,
  shownAngle,
  spokenAngle,
  type TimingDiagramData,
} from '../../../renderer/drawings/timing-data.ts';
import { TimingDial } from '../../../renderer/drawings/timing-dial.tsx';

function port(
  portId: string,
  label: string,
  kind: DiagramPort['kind'],
  opensDeg: number,
  closesDeg: number,
): DiagramPort {
  const edge = (crankDeg: number) => ({
    crankDeg,
    expandedDeg: 0.24,
    forwardsDeg: crankDeg + 0.1,
    backwardsDeg: crankDeg - 0.1,
  });
  return { portId, label, kind, opens: edge(opensDeg), closes: edge(closesDeg) };
}

const data: TimingDiagramData = {
  ports: [
    port('exhaust', 'Exhaust', 'exhaust', 91.6, 268.2),
    port('auxiliary', 'Auxiliary exhausts', 'auxiliary_exhaust', 96, 264),
    port('main', 'Main transfers', 'transfer_main', 117.4, 242.9),
    port('secondary', 'Secondary transfers', 'transfer_secondary', 118.9, 241.2),
    port('boost', 'Boost', 'boost', 120.5, 239.6),
    port('intake', 'Intake', 'intake_disc', 215, 70),
  ],
  blowdown: { fromDeg: 91.6, toDeg: 117.4, valueDeg: 25.8 },
};

/** Numbers of all `cx, cy`-free marks: the end points of every arc in the markup. */
function arcs(markup: string) {
  return [
    ...markup.matchAll(
      /class="span span-[a-z]+" d="M([\d.-]+) ([\d.-]+)A([\d.-]+) [\d.-]+ 0 ([01]) 1 ([\d.-]+) ([\d.-]+)"/g,
    ),
  ].map(([, x0, y0, radius, isLong, x1, y1]) => ({
    from: angleOf(Number(x0), Number(y0)),
    to: angleOf(Number(x1), Number(y1)),
    radius: Number(radius),
    isLong: isLong === '1',
  }));
}

/** Crank angle of a point of the dial, whose centre is the middle of its box. */
function angleOf(x: number, y: number): number {
  const angle = (Math.atan2(x - 98, 58 - y) * 180) / Math.PI;
  return (angle + 360) % 360;
}

describe('the dial', () => {
  it('draws every span from its opening to its closing, forwards', () => {
    const drawn = arcs(renderToStaticMarkup(<TimingDial data={data} title="Timing" />));
    expect(drawn).toHaveLength(data.ports.length);
    for (const [index, one] of drawn.entries()) {
      const expected = data.ports[index];
      expect(one.from).toBeCloseTo(expected?.opens?.crankDeg ?? Number.NaN, 1);
      expect(one.to).toBeCloseTo(expected?.closes?.crankDeg ?? Number.NaN, 1);
      // The flag decides which of the two arcs is drawn: a wrong one would show the shut time.
      expect(one.isLong).toBe((openSpanDeg(expected as DiagramPort) ?? 0) > 180);
    }
  });

  it('says every edge in words for those who do not see it', () => {
    const markup = renderToStaticMarkup(<TimingDial data={data} title="Timing" isInteractive />);
    expect(markup).toContain('aria-label="Exhaust opens, 91.6 deg after TDC, plus or minus 0.24 deg"');
    expect(markup).toContain('aria-label="Intake closes, 70.0 deg after TDC, plus or minus 0.24 deg"');
    expect([...markup.matchAll(/tabindex="0"/g)]).toHaveLength(2 * data.ports.length);
  });

  it('leaves out what was not measured and says so', () => {
    const markup = renderToStaticMarkup(
      <TimingDial
        title="Timing"
        data={{
          ports: [{ portId: 'exhaust', label: 'Exhaust', kind: 'exhaust', opens: null, closes: null }],
          blowdown: null,
        }}
      />,
    );
    expect(markup).toContain('Exhaust: open span not measured');
    expect(markup).not.toContain('class="span');
  });

  it('is drawn as kept', async () => {
    await expect(
      renderToStaticMarkup(<TimingDial data={data} title="Timing" printedWidth="170mm" />),
    ).toMatchFileSnapshot('snapshots/timing-dial.svg');
  });
});

describe('the band', () => {
  const rows = data.ports.map((one, index) => ({
    key: one.portId,
    title: one.label,
    port: one,
    isNewGroup: index > 0,
  }));

  it('has one turn on its length, in proportion', () => {
    const markup = renderToStaticMarkup(<TimingBand rows={rows} title="Timing" />);
    const marks = [...markup.matchAll(/class="edge-line" x1="([\d.]+)"/g)].map((match) => Number(match[1]));
    const expected = data.ports.flatMap((one) => [one.opens?.crankDeg ?? 0, one.closes?.crankDeg ?? 0]);
    for (const [index, x] of marks.entries()) expect(((x - 34) / 142) * 360).toBeCloseTo(expected[index] ?? 0, 1);
    expect(marks).toHaveLength(expected.length);
  });

  it('draws a span over TDC in two pieces', () => {
    const intake = rows.filter((row) => row.key === 'intake');
    const markup = renderToStaticMarkup(<TimingBand rows={intake} title="Timing" />);
    expect([...markup.matchAll(/class="span /g)]).toHaveLength(2);
  });

  it('is drawn as kept', async () => {
    await expect(
      renderToStaticMarkup(<TimingBand rows={rows} title="Timing" printedWidth="170mm" />),
    ).toMatchFileSnapshot('snapshots/timing-band.svg');
  });
});

describe('an angle in words', () => {
  it.each([
    [91.6, '91.6 ATDC', '91.6 deg after TDC'],
    [268.2, '91.8 BTDC', '91.8 deg before TDC'],
    [0, '0.0 ATDC', '0.0 deg after TDC'],
    [359.99, '0.0 BTDC', '0.0 deg before TDC'],
    [180, '180.0 ATDC', '180.0 deg after TDC'],
    [-10, '10.0 BTDC', '10.0 deg before TDC'],
    [450, '90.0 ATDC', '90.0 deg after TDC'],
  ])('%f is written %s and spoken %s', (angle, written, spoken) => {
    expect(shownAngle(angle)).toBe(written);
    expect(spokenAngle(angle)).toBe(spoken);
  });
});
