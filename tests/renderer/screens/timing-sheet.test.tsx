import { describe, expect, it } from 'vitest';
import { checkSheetHtml } from '../../../electron/database/sheet-html.ts';
import { sheetCautions, type TimingSheetData } from '../../../renderer/screens/sheets/sheet-data.ts';
import { sheetHtml } from '../../../renderer/screens/sheets/sheet-html.tsx';

const edge = (crankDeg: number) => ({
  crankDeg,
  expandedDeg: 0.24,
  forwardsDeg: crankDeg + 0.1,
  backwardsDeg: crankDeg - 0.1,
});

const data: TimingSheetData = {
  kind: 'timing',
  paper: 'A4',
  title: 'Timing sheet',
  subtitle: 'Kart 7, season check: barrel A, base gasket 0.50 mm',
  job: [
    { name: 'Job', value: '26-118' },
    { name: 'Customer', value: 'Lowfield "hire" <karts> & sons' },
    { name: 'Measured by', value: 'J. Marlow' },
    { name: 'Date', value: '2026-11-25' },
  ],
  diagram: {
    ports: [
      { portId: 'exhaust', label: 'Exhaust', kind: 'exhaust', opens: edge(91.6), closes: edge(268.2) },
      { portId: 'transfers', label: 'Transfers', kind: 'transfer_main', opens: edge(117.4), closes: edge(242.9) },
    ],
    blowdown: { fromDeg: 91.6, toDeg: 117.4, valueDeg: 25.8 },
  },
  events: ['Exhaust opens', 'Transfers open', 'Transfers close', 'Exhaust closes'].map((event) => ({
    event,
    forwards: '91.7 ATDC',
    backwards: '91.5 ATDC',
    difference: '+0.20',
    result: '91.6 ATDC',
    expanded: '0.24',
    readings: 4,
  })),
  results: [
    {
      quantity: 'Exhaust duration',
      value: '176.6',
      expanded: '0.30',
      limits: "174 to 178, maker's sheet, 3rd edition",
      verdict: 'conforming',
    },
    { quantity: 'Transfer duration', value: '125.5', expanded: '0.30', limits: '', verdict: 'no_limits' },
    {
      quantity: 'Blowdown',
      value: '25.8',
      expanded: '0.34',
      limits: 'at most 26, class rule',
      verdict: 'cannot_be_decided',
    },
  ],
  engine: [
    { name: 'Engine', value: 'Kart 123' },
    { name: 'Stroke', value: '54 mm' },
    { name: 'Rod length', value: '110 mm' },
    { name: 'Offset', value: 'none' },
  ],
  mockUp: [
    { name: 'Barrel', value: 'A' },
    { name: 'Base gasket', value: '0.50 mm' },
    { name: 'Cylinder', value: '1 of 1' },
  ],
  method: ['Edges judged at the first crack of light.', 'U = 2 u (k = 2), mean of both directions of turning.'],
  cautions: sheetCautions,
  footer: 'Portsight 0.1.0, printed 2026-11-25 14:05',
};

describe('the timing sheet', () => {
  const html = sheetHtml(data, 'd09GMgABAAAAAA==');

  it('is a page that the host agrees to keep: no scripts, nothing from outside', () => {
    expect(() => checkSheetHtml(html)).not.toThrow();
    expect(html).not.toMatch(/<script|https?:|<!--/);
  });

  it('carries every number that it was given', () => {
    for (const text of ['91.7 ATDC', '125.5', 'at most 26, class rule', '54 mm', 'must measure 100 mm', '25.8°']) {
      expect(html).toContain(text);
    }
  });

  it('carries names with angle brackets and quotes as text', () => {
    expect(html).toContain('Lowfield &quot;hire&quot; &lt;karts&gt; &amp; sons');
  });

  it('sets the page to the size of the paper', () => {
    expect(html).toContain('@page{size:210mm 297mm;margin:0}');
    expect(sheetHtml({ ...data, paper: 'Letter' }, null)).toContain('@page{size:215.9mm 279.4mm;margin:0}');
  });

  it('draws check bars of 100 mm in both directions', () => {
    expect(html).toContain('width="104mm" height="7mm" viewBox="-2 0 104 7"');
    expect(html).toContain('width="7mm" height="104mm" viewBox="0 -2 7 104"');
  });

  it('is drawn as kept', async () => {
    await expect(html.replace(/<style>[\s\S]*<\/style>/, '<style></style>')).toMatchFileSnapshot(
      'snapshots/timing-sheet.html',
    );
  });
});
