import { describe, expect, it } from 'vitest';
import { checkSheetHtml } from '../../../electron/database/sheet-html.ts';
import { pdfFileName } from '../../../electron/handlers/sheets.ts';
import { openTestBook } from '../../support/book.ts';

const good = `<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Sheet</title>
<style>@page { size: A4; margin: 0 } .a > b { fill: url(#hatch) } @font-face { src: url(data:font/woff2;base64,AAAA) format("woff2") }</style></head>
<body><h1>Timing &lt; 92&deg;</h1><img alt="" src="data:image/jpeg;base64,AAAA"><svg viewBox="0 0 1 1"><defs><pattern id="hatch"/></defs>
<path d="M0 0L1 1" style="stroke: #333" clip-path="url(#c)"/><use href="#hatch"/></svg></body></html>`;

const hostile: [what: string, html: string][] = [
  ['a script', '<script>alert(1)</script>'],
  ['a script in capitals', '<SCRIPT>alert(1)</SCRIPT>'],
  ['a script inside a drawing', '<svg><script>alert(1)</script></svg>'],
  ['an event attribute', '<img src="data:image/png;base64,AA" onerror="alert(1)">'],
  ['an event attribute on a drawing', '<svg onload=alert(1)></svg>'],
  ['an event attribute after a slash', '<svg/onload=alert(1)>'],
  ['a picture from outside', '<img src="https://example.org/a.png">'],
  ['a picture without a scheme', '<img src="//example.org/a.png">'],
  ['a picture of a file', '<img src="file:///etc/passwd">'],
  ['a drawing as data', '<img src="data:image/svg+xml;base64,AAAA">'],
  ['a script address', '<a href="javascript:alert(1)">x</a>'],
  ['a hidden script address', '<a href="&#106;avascript:alert(1)">x</a>'],
  ['a link out', '<a href="https://example.org/">x</a>'],
  ['a style from outside', '<link rel="stylesheet" href="https://example.org/a.css">'],
  ['an imported style', '<style>@import "https://example.org/a.css";</style>'],
  ['a style that loads', '<p style="background: url(https://example.org/a.png)">x</p>'],
  ['a style that loads behind escapes', '<p style="background: \\75rl(https://example.org/a.png)">x</p>'],
  ['a style that loads behind a comment', '<style>p { background: ur/**/l(https://example.org/a.png) }</style>'],
  ['a fill from outside', '<svg><rect fill="url(https://example.org/a.svg#b)"/></svg>'],
  ['a refresh', '<meta http-equiv="refresh" content="0;url=https://example.org/">'],
  ['a frame', '<iframe srcdoc="x"></iframe>'],
  ['an object', '<object data="x"></object>'],
  ['an embedded page', '<embed src="x">'],
  ['a form', '<form action="https://example.org/"><input></form>'],
  ['a base', '<base href="https://example.org/">'],
  ['a foreign object', '<svg><foreignObject><p>x</p></foreignObject></svg>'],
  ['an animated address', '<svg><a href="#x"><animate attributeName="href" values="javascript:alert(1)"/></a></svg>'],
  ['a comment', '<!-- [if IE]><script>alert(1)</script><![endif] -->'],
  ['an unclosed tag', '<img src="x'],
  ['a broken tag', '<p <script>>'],
  ['a style that is closed early', '<style></style/><script>alert(1)</script>'],
  ['a processing instruction', '<?xml-stylesheet href="https://example.org/a.css"?>'],
];

describe('a sheet', () => {
  it('that is self-contained is kept with the data it was drawn from', async () => {
    const { client } = await openTestBook();
    const snapshot = { durationDeg: 176.8, list: [1, null, 'x'] };
    const kept = await client.call('sheet.keep', {
      mockUpId: null,
      kind: 'timing',
      title: 'Timing',
      html: good,
      snapshot,
    });
    expect(await client.call('sheet.get', { id: kept.id })).toEqual({ sheet: kept, html: good, snapshot });
    expect(await client.call('sheet.list', { mockUpId: null })).toEqual([kept]);
  });

  it.each(hostile)('with %s is refused', (_what, html) => {
    expect(() => checkSheetHtml(`<!doctype html><html><body>${html}</body></html>`)).toThrow(/The sheet can't be kept/);
  });

  it('prints what is kept, and says what to do where no printing browser is there', async () => {
    const printed: string[] = [];
    const printing = await openTestBook({
      printPdf: async (html) => {
        printed.push(html);
        return new TextEncoder().encode('%PDF-');
      },
    });
    const content = { mockUpId: null, kind: 'timing', title: 'Timing: A/B <1>', html: good, snapshot: null };
    const kept = await printing.client.call('sheet.keep', content);
    const pdf = await printing.client.call('sheet.pdf', { id: kept.id });
    expect(printed).toEqual([good]);
    expect(Buffer.from(pdf.bytes, 'base64').toString()).toBe('%PDF-');
    expect(pdf.fileName).toBe(`Timing A B 1 ${kept.createdAt.slice(0, 10)}.pdf`);
    const without = await openTestBook();
    const keptThere = await without.client.call('sheet.keep', content);
    expect((await without.client.call('app.info', {})).canPrintPdf).toBe(false);
    await expect(without.client.call('sheet.pdf', { id: keptThere.id })).rejects.toMatchObject({
      code: 'no_pdf_printer',
      message: expect.stringContaining('print dialog') as string,
    });
  });

  it.each([
    ['../../etc/passwd', 'etc passwd 2026-03-01.pdf'],
    ['  ', 'sheet 2026-03-01.pdf'],
    ['Bohrung Ø 53,6', 'Bohrung Ø 53 6 2026-03-01.pdf'],
  ])('titled %s gets a file name that every platform takes', (title, expected) => {
    expect(pdfFileName(title, '2026-03-01T00:00:00.000Z')).toBe(expected);
  });
});
