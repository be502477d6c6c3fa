import { execFileSync } from 'node:child_process';
import { existsSync, readdirSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished, vi } from 'vitest';
import { findBrowser } from '../../../electron/host/browser.ts';
import { createPdfPrinter } from '../../../electron/host/print-pdf.ts';
import { temporaryFolder } from '../../support/temporary-folder.ts';

const browser = findBrowser();
const noBrowser = 'no Chromium, Chrome or Edge on this computer: install one with `apt install chromium`';
const poppler = ['/usr/bin/pdfinfo', '/usr/bin/pdftotext', '/usr/bin/pdfimages'].every(existsSync);
const noPoppler = 'no poppler-utils on this computer: install them with `apt install poppler-utils`';

const sheet = (body: string) => `<!doctype html><html><head><style>
@page { size: 210mm 297mm; margin: 0 } html, body { margin: 0 } svg { display: block }</style></head><body>${body}</body></html>`;

function printer(log: string[] = []) {
  return createPdfPrinter({
    browser: browser ?? '',
    // Chromium refuses to start with its sandbox as root.
    noBrowserSandbox: process.getuid?.() === 0,
    log: (line) => log.push(line),
  });
}

describe('a sheet printed by the system browser', () => {
  it('keeps its page size, its text and its lines as vectors', async (ctx) => {
    ctx.skip(browser === null, noBrowser);
    ctx.skip(!poppler, noPoppler);
    const pdf = await printer()(
      sheet(
        '<svg width="210mm" height="290mm" viewBox="0 0 210 290"><circle cx="105" cy="145" r="100" fill="none" stroke="black"/><text x="50" y="50">Exhaust 176.8 deg</text></svg>',
      ),
    );
    const path = join(temporaryFolder(), 'sheet.pdf');
    writeFileSync(path, pdf);
    const info = execFileSync('pdfinfo', [path], { encoding: 'utf8' });
    expect(info).toMatch(/Pages:\s+1\n/);
    const [, width, height] = /Page size:\s+([\d.]+) x ([\d.]+) pts/.exec(info) ?? [];
    expect(Math.abs(Number(width) - 595.28)).toBeLessThan(1.5);
    expect(Math.abs(Number(height) - 841.89)).toBeLessThan(1.5);
    expect(execFileSync('pdftotext', [path, '-'], { encoding: 'utf8' })).toContain('Exhaust 176.8 deg');
    expect(execFileSync('pdfimages', ['-list', path], { encoding: 'utf8' }).trim().split('\n')).toHaveLength(2);
  });

  it('loads nothing from outside and runs nothing, even if the check of kept sheets were passed by', async (ctx) => {
    ctx.skip(browser === null, noBrowser);
    const asked: string[] = [];
    const server = createServer((request, response) => {
      asked.push(request.url ?? '');
      response.end();
    });
    const port = await new Promise<number>((resolve) => {
      server.listen(0, '127.0.0.1', () => {
        const address = server.address();
        resolve(typeof address === 'object' && address !== null ? address.port : 0);
      });
    });
    onTestFinished(() => void server.close());
    const at = `http://127.0.0.1:${port}`;
    await printer()(
      sheet(`<img src="${at}/picture"><iframe src="${at}/frame"></iframe><link rel="stylesheet" href="${at}/style">
      <script>fetch('${at}/script')</script><script src="${at}/script-file"></script><p style="background: url(${at}/background)">x</p>`),
    );
    expect(asked).toEqual([]);
  });

  it('leaves no file behind, whether it worked or not', async () => {
    // A folder of its own: what other programs print meanwhile is none of this.
    const folder = temporaryFolder();
    for (const name of ['TMPDIR', 'TEMP', 'TMP']) vi.stubEnv(name, folder);
    onTestFinished(() => void vi.unstubAllEnvs());
    expect(tmpdir()).toBe(folder);
    const log: string[] = [];
    const failing = createPdfPrinter({
      browser: '/no/such/browser',
      noBrowserSandbox: false,
      log: (line) => log.push(line),
    });
    await expect(failing(sheet('x'))).rejects.toMatchObject({ code: 'pdf_failed' });
    await expect(failing(sheet('x'))).rejects.toMatchObject({ code: 'pdf_failed' });
    expect(log).toHaveLength(2);
    expect(readdirSync(folder)).toEqual([]);
  });
});
