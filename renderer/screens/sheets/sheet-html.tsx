import { renderToStaticMarkup } from 'react-dom/server';
import drawingsCss from '../../drawings/drawings.css?raw';
import tokensCss from '../../theme/tokens.css?raw';
import { ChecksSheet } from './checks-sheet.tsx';
import { CompareSheet } from './compare-sheet.tsx';
import { PlanSheet } from './plan-sheet.tsx';
import { PortMapSheet } from './port-map-sheet.tsx';
import sheetCss from './sheet.css?raw';
import { paperSizes, type SheetData } from './sheet-data.ts';
import { TimingSheet } from './timing-sheet.tsx';

/**
 * The page as it is printed and kept: one self-contained HTML text without scripts or addresses.
 * @param fontBase64 the typeface (WOFF2); without it the page falls back to a sans-serif of the system
 */
export function sheetHtml(data: SheetData, fontBase64: string | null): string {
  const { widthMm, heightMm } = paperSizes[data.paper];
  const face =
    fontBase64 === null
      ? ''
      : `@font-face{font-family:"Inter Variable";font-weight:100 900;src:url(data:font/woff2;base64,${fontBase64}) format("woff2");}`;
  const page = `@page{size:${widthMm}mm ${heightMm}mm;margin:0}:root{--paper-width:${widthMm}mm;--paper-height:${heightMm}mm}`;
  const css = [face, page, tokensCss, drawingsCss, sheetCss].map(withoutComments).join('\n');
  const markup = renderToStaticMarkup(
    <html lang="en" data-theme="desk">
      <head>
        <meta charSet="utf-8" />
        <title>{`${data.title}: ${data.subtitle}`}</title>
        {/* The text is our own style sheets; React would escape the quotes inside, which CSS doesn't undo. */}
        {/* biome-ignore lint/security/noDangerouslySetInnerHtml: our own style sheets, no text of the user */}
        <style dangerouslySetInnerHTML={{ __html: css }} />
      </head>
      <body>{sheetOf(data)}</body>
    </html>,
  );
  return `<!doctype html>${markup}`;
}

function sheetOf(data: SheetData) {
  switch (data.kind) {
    case 'timing':
      return <TimingSheet data={data} />;
    case 'port_map':
      return <PortMapSheet data={data} />;
    case 'plan':
      return <PlanSheet data={data} />;
    case 'checks':
      return <ChecksSheet data={data} />;
    case 'compare':
      return <CompareSheet data={data} />;
  }
}

function withoutComments(css: string): string {
  return css.replaceAll(/\/\*[\s\S]*?\*\//g, '');
}
