import { execFileSync } from 'node:child_process';
import { existsSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { faceRadii } from '../../../core/wheel/coded/wheel-face.ts';
import { paperNames, papers, wheelSheet } from '../../../core/wheel/coded/wheel-sheet.ts';
import { createWheelReader } from '../../../core/wheel/reader.ts';
import { loadImageOps } from '../../../electron/cli/load-opencv.ts';
import { printableWheel } from '../../../electron/wheel-sheet/printable-wheel.ts';
import { trueAbsoluteDeg } from '../../support/coded-wheel.ts';
import { darkStretch, pxPerMm, rasterOf } from '../../support/printed-page.ts';
import { faceColumns, faceRowCount } from '../../support/synthetic-face.ts';
import { photograph, syntheticSetup } from '../../support/synthetic-wheel.ts';
import { temporaryFolder } from '../../support/temporary-folder.ts';

const canRender = ['/usr/bin/pdftoppm', '/usr/bin/pdftotext'].every((path) => existsSync(path));
const noRenderer = 'pdftoppm and pdftotext (poppler-utils) are not installed';
describe.each(paperNames)('the printed wheel on %s', (paper) => {
  const { barMm, widthMm, heightMm, name } = papers[paper];
  const sheet = wheelSheet({ paper, grows: 'clockwise' });
  const { pdf, fileName } = printableWheel({ paper, grows: 'clockwise' });

  test('the page has the paper’s size, and its bars are true to 0.1 mm', (ctx) => {
    ctx.skip(!canRender, noRenderer);
    const raster = rasterOf(pdf);
    expect(raster.widthPx).toBeCloseTo(widthMm * pxPerMm, -0.5);
    expect(raster.heightPx).toBeCloseTo(heightMm * pxPerMm, -0.5);
    const bar = (direction: 'across' | 'upright') => {
      const found = sheet.shapes.find(
        (s) =>
          s.kind === 'line' && (direction === 'across' ? s.toMm[0] - s.fromMm[0] : s.toMm[1] - s.fromMm[1]) === barMm,
      );
      if (found?.kind !== 'line') throw new Error(`no bar ${direction}`);
      return found;
    };
    const across = bar('across');
    const upright = bar('upright');
    // End strokes stand half their width outside the bar.
    const strokes = across.lineMm;
    const [x, y] = [across.fromMm[0], across.fromMm[1]];
    expect(Math.abs(darkStretch(raster, 'across', y, x - 5, x + barMm + 5) - strokes - barMm)).toBeLessThan(0.1);
    const [u, v] = [upright.fromMm[0], upright.fromMm[1]];
    expect(Math.abs(darkStretch(raster, 'upright', u, v - 5, v + barMm + 5) - strokes - barMm)).toBeLessThan(0.1);
  });

  test('the ticks stand at whole degrees, within 0.03 degrees, and the cut line has the diameter asked for', (ctx) => {
    ctx.skip(!canRender, noRenderer);
    const raster = rasterOf(pdf);
    const [cx, cy] = sheet.centreMm.map((c) => c * pxPerMm - 0.5) as [number, number];
    const radius = (papers[paper].usualDiameterMm / 2) * pxPerMm;
    const steps = 360 * 60;
    // Several circles together average out the dots of the raster.
    const dark = new Float64Array(steps);
    for (let i = 0; i < steps; i++)
      for (let r = 0; r < 9; r++) {
        const rho = radius * (faceRadii.ticksOuter - 0.008 - 0.003 * r);
        const t = (i / steps) * 2 * Math.PI;
        if (raster.dark(Math.round(cx + rho * Math.sin(t)), Math.round(cy - rho * Math.cos(t))))
          dark[i] = (dark[i] ?? 0) + 1;
      }
    let worstDeg = 0;
    for (let deg = 0; deg < 360; deg++) {
      let sum = 0;
      let weights = 0;
      for (let d = -30; d < 30; d++) {
        const weight = dark[(deg * 60 + d + steps) % steps] as number;
        sum += weight * d;
        weights += weight;
      }
      expect(weights).toBeGreaterThan(50);
      worstDeg = Math.max(worstDeg, Math.abs(sum / weights / 60));
    }
    expect(worstDeg).toBeLessThan(0.03);
    const mm = (papers[paper].usualDiameterMm / 2) * 1.02;
    const [x, y] = sheet.centreMm;
    expect(darkStretch(raster, 'across', y, Math.max(0, x - mm), Math.min(widthMm - 0.5, x + mm))).toBeCloseTo(
      papers[paper].usualDiameterMm + 0.2,
      0.7,
    );
  });

  test('the words say how to print and what is dangerous', (ctx) => {
    ctx.skip(!canRender, noRenderer);
    const folder = temporaryFolder();
    writeFileSync(join(folder, 'wheel.pdf'), pdf);
    const text = execFileSync('pdftotext', ['-layout', 'wheel.pdf', '-'], { cwd: folder, encoding: 'utf8' });
    expect(text).toContain('Print at actual size (100 %)');
    expect(text).toContain(`this bar must measure ${barMm} mm`);
    expect(text).toContain('turn the crank by hand only');
    expect(text).toContain('180');
    expect(fileName).toBe(`Degree wheel ${papers[paper].usualDiameterMm} mm ${name} clockwise.pdf`);
  });
});

test('a camera reads the wheel off the printed page itself', { timeout: 60_000 }, async (ctx) => {
  ctx.skip(!canRender, noRenderer);
  const sheet = wheelSheet({ paper: 'a4', grows: 'anticlockwise' });
  const raster = rasterOf(printableWheel({ paper: 'a4', grows: 'anticlockwise' }).pdf);
  const radiusPx = (papers.a4.usualDiameterMm / 2) * pxPerMm;
  const [cx, cy] = sheet.centreMm.map((c) => c * pxPerMm - 0.5) as [number, number];
  const values = new Float32Array(faceColumns * faceRowCount);
  for (let row = 0; row < faceRowCount; row++)
    for (let column = 0; column < faceColumns; column++) {
      const rho = (radiusPx * (row + 0.5)) / faceRowCount;
      const t = (2 * Math.PI * (column + 0.5)) / faceColumns;
      const isDark = raster.dark(Math.round(cx + rho * Math.sin(t)), Math.round(cy - rho * Math.cos(t)));
      values[row * faceColumns + column] = isDark ? 0.1 : 0.85;
    }
  const face = {
    columns: faceColumns,
    rows: faceRowCount,
    values,
    blurred: new Map<number, Float32Array>(),
    tickStepDeg: 1,
    repeatsDeg: 360,
  } as const;
  const scene = syntheticSetup(17, { face, tiltDeg: 22, size: [800, 600] });
  const reader = createWheelReader(await loadImageOps());
  const found = reader.findWheel(photograph(scene, { rotationDeg: 0, seed: 1 }));
  if (!found.ok) throw new Error(found.reason);
  const made = reader.createSetup(photograph(scene, { rotationDeg: 0, seed: 1 }), found.rim);
  if (!made.ok) throw new Error(made.reason);
  for (const rotationDeg of [0, 77.7, 198.2, 305]) {
    const reading = reader.readCodedRing(made.setup, photograph(scene, { rotationDeg, seed: 2 }));
    if (reading.state !== 'read') throw new Error(reading.state);
    expect(reading.grows).toBe('anticlockwise');
    const miss = reading.absoluteDeg - trueAbsoluteDeg(scene, 0) - rotationDeg;
    expect(Math.abs(miss - 360 * Math.round(miss / 360))).toBeLessThan(0.4);
  }
});

test('the file is one page whose cross-reference table points at its objects', () => {
  const text = Buffer.from(printableWheel({ paper: 'a4', grows: 'anticlockwise' }).pdf).toString('latin1');
  const start = Number(/startxref\n(\d+)\n%%EOF/.exec(text)?.[1]);
  const table = text.slice(start);
  expect(table.startsWith('xref\n0 ')).toBe(true);
  const offsets = [...table.matchAll(/^(\d{10}) 00000 n /gm)].map((m) => Number(m[1]));
  offsets.forEach((offset, i) => {
    expect(text.slice(offset, offset + 12)).toContain(`${i + 1} 0 obj`);
  });
  expect(offsets).toHaveLength(7);
  expect(text).toContain('/PrintScaling /None');
});
