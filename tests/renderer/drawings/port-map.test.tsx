import { renderToStaticMarkup } from 'react-dom/server';
import { describe, expect, it } from 'vitest';
import type { PortKind, PortSide } from '../../../core/contract/parts.ts';
import { PortMap, type PortMapData, portMapScale, wrapped } from '../../../renderer/drawings/port-map.tsx';
import { layOutWindows, type MapPort } from '../../../renderer/drawings/port-map-layout.ts';

const boreMm = 53.6;

function port(
  portId: string,
  kind: PortKind,
  chordMm: number,
  topMm: number,
  heightMm: number,
  more: { side?: PortSide; count?: number; roofDropMm?: number } = {},
): MapPort {
  return {
    portId,
    label: portId,
    kind,
    side: more.side ?? 'none',
    windowCount: more.count ?? 1,
    window: {
      chordMm,
      heightMm,
      radiusTopMm: more.roofDropMm === undefined ? 3 : 0,
      radiusBottomMm: more.roofDropMm === undefined ? 3 : 0,
      roofDropMm: more.roofDropMm ?? 0,
    },
    topMm,
    decidedBy: kind === 'intake_skirt' ? 'floor' : 'roof',
    opensText: '91.6 ATDC',
  };
}

const ports: readonly MapPort[] = [
  port('Exhaust', 'exhaust', 37.2, 31.4, 23),
  port('Auxiliary', 'auxiliary_exhaust', 8, 33, 8, { side: 'both', count: 2 }),
  port('Main', 'transfer_main', 18, 42.8, 11.6, { side: 'both', count: 2 }),
  port('Secondary', 'transfer_secondary', 12, 43, 11.4, { side: 'both', count: 2, roofDropMm: 1.5 }),
  port('Boost', 'boost', 14, 42.5, 12),
];
const data: PortMapData = { boreMm, travelMm: 54.5, deckMm: 0.3, ports };
const lengthText = (valueMm: number) => `${valueMm.toFixed(2)} mm`;

describe('windows laid round the bore', () => {
  const { windows, circumferenceMm, fromMm, isTooWide } = layOutWindows(boreMm, ports);
  const centres = (portId: string) =>
    windows
      .filter((one) => one.port.portId === portId)
      .map(({ centreMm }) => centreMm)
      .toSorted((a, b) => a - b);

  it('puts the exhaust in the middle, the boost opposite, and pairs either side in mirror image', () => {
    expect(isTooWide).toBe(false);
    expect(centres('Exhaust')).toEqual([0]);
    expect(centres('Boost')[0]).toBeCloseTo(circumferenceMm / 2, 9);
    for (const pair of ['Auxiliary', 'Main', 'Secondary']) {
      const [drive = 0, ignition = 0] = centres(pair);
      expect(drive).toBeCloseTo(-ignition, 9);
      expect(drive).toBeLessThan(0);
    }
  });

  it('lets no two windows overlap, and draws each width developed', () => {
    const ordered = windows.toSorted((a, b) => a.centreMm - b.centreMm);
    for (const [index, window] of ordered.entries()) {
      const next = ordered[index + 1];
      if (next === undefined) continue;
      expect(next.centreMm - next.developedMm / 2).toBeGreaterThan(window.centreMm + window.developedMm / 2);
    }
    const exhaust = windows.find((one) => one.port.portId === 'Exhaust');
    expect(exhaust?.developedMm).toBeCloseTo(boreMm * Math.asin(37.2 / boreMm), 9);
    for (const { centreMm, developedMm } of windows) {
      expect(centreMm - developedMm / 2).toBeGreaterThanOrEqual(fromMm);
      expect(centreMm + developedMm / 2).toBeLessThanOrEqual(fromMm + circumferenceMm);
    }
  });

  it('keeps ports of one side on that side', () => {
    const sided = layOutWindows(boreMm, [
      port('d', 'transfer_main', 15, 42, 12, { side: 'drive_side' }),
      port('i', 'transfer_main', 15, 42, 12, { side: 'ignition_side' }),
    ]).windows;
    expect(sided.find((one) => one.port.portId === 'd')?.centreMm).toBeLessThan(0);
    expect(sided.find((one) => one.port.portId === 'i')?.centreMm).toBeGreaterThan(0);
  });

  it('a bridged exhaust lies either side of the middle, an intake takes the rear from the boost', () => {
    const { windows: bridged } = layOutWindows(boreMm, [
      port('Exhaust', 'exhaust', 17, 31, 22, { count: 2 }),
      port('Boost', 'boost', 9, 42, 12, { count: 2 }),
      port('Intake', 'intake_skirt', 24, 60, 16),
    ]);
    const at = (portId: string) => bridged.filter((one) => one.port.portId === portId).map(({ centreMm }) => centreMm);
    expect(at('Exhaust')[0]).toBeCloseTo(-(at('Exhaust')[1] ?? 0), 9);
    expect(at('Intake')[0]).toBeCloseTo((Math.PI * boreMm) / 2, 9);
    expect(Math.abs(at('Boost')[0] ?? 0)).toBeLessThan((Math.PI * boreMm) / 2 - 12);
  });

  it('says when the windows need more room than there is', () => {
    expect(layOutWindows(boreMm, [port('t', 'transfer_main', 30, 42, 12, { side: 'both', count: 6 })]).isTooWide).toBe(
      true,
    );
  });
});

describe('the map', () => {
  it('draws heights and widths in one scale', () => {
    const markup = renderToStaticMarkup(<PortMap data={data} title="Map" lengthText={lengthText} />);
    const scale = portMapScale(boreMm);
    const edges = [...markup.matchAll(/class="edge-line" x1="[\d.]+" x2="[\d.]+" y1="([\d.]+)"/g)].map(([, y]) =>
      Number(y),
    );
    const tops = ports
      .flatMap(({ topMm, windowCount }) => Array.from({ length: windowCount }, () => topMm))
      .toSorted((a, b) => a - b);
    const drawn = edges.toSorted((a, b) => a - b);
    expect(drawn).toHaveLength(tops.length);
    for (const [index, y] of drawn.entries()) {
      expect((y - (drawn[0] ?? 0)) / scale).toBeCloseTo((tops[index] ?? 0) - (tops[0] ?? 0), 1);
    }
  });

  it('says every window in words and lets the keyboard reach it', () => {
    const markup = renderToStaticMarkup(<PortMap data={data} title="Map" lengthText={lengthText} isInteractive />);
    expect(markup).toContain(
      'aria-label="Main, window 2 of 2, chord 18.00 mm, developed 18.36 mm, height 11.60 mm, 91.6 ATDC"',
    );
    expect([...markup.matchAll(/tabindex="0"/g)]).toHaveLength(8);
    expect(renderToStaticMarkup(<PortMap data={data} title="Map" lengthText={lengthText} />)).not.toContain('tabindex');
  });

  it('fills what the piston leaves open, and nothing of what it covers', () => {
    const at = (crownMm: number) =>
      renderToStaticMarkup(
        <PortMap data={data} title="Map" lengthText={lengthText} piston={{ crownMm, skirtMm: null, text: 'here' }} />,
      );
    const open = (markup: string) => [...markup.matchAll(/class="window-open"/g)].length;
    expect(open(at(20))).toBe(0);
    expect(open(at(32))).toBe(1);
    expect(open(at(42.7))).toBe(4);
    expect(open(at(54.5))).toBe(8);
  });

  it('is drawn as kept', async () => {
    await expect(
      renderToStaticMarkup(<PortMap data={data} title="Map" lengthText={lengthText} printedWidth="180mm" />),
    ).toMatchFileSnapshot('snapshots/port-map.svg');
  });
});

describe('a label over a narrow window', () => {
  it.each([
    ['Secondary transfers', 10, ['Secondary', 'transfers']],
    ['Main transfer, drive side', 12, ['Main', 'transfer,', 'drive side']],
    ['Hinterüberströmer', 8, ['Hinterüb…']],
    ['One two three four five', 5, ['One', 'two', 'three']],
  ])('%s in %i characters', (label, characters, lines) => {
    expect(wrapped(label, characters)).toEqual(lines);
  });
});
