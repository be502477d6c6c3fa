import type { SheetShape, WheelSheet } from '../../core/wheel/coded/wheel-sheet.ts';

/**
 * Writes a page of shapes as a vector PDF at true scale: one page, filled and stroked paths, and text in Helvetica, which
 * every PDF reader has. What the page needs of the format is so little that no library is worth its weight here.
 * @source ISO 32000-1:2008, sections 7.5 (file structure), 8.5 (paths), 9.4 (text), 12.2 (viewer preferences)
 */
export function pdfOfSheet(sheet: WheelSheet, title: string): Uint8Array {
  const content = [
    // From here on lengths are mm from the top left corner, y downwards.
    `${decimal(pointsPerMm)} 0 0 ${decimal(-pointsPerMm)} 0 ${decimal(sheet.heightMm * pointsPerMm)} cm`,
    '0 g 0 G 0 J',
    ...sheet.shapes.map(drawn),
  ].join('\n');
  const box = `[0 0 ${decimal(sheet.widthMm * pointsPerMm)} ${decimal(sheet.heightMm * pointsPerMm)}]`;
  const font = (name: string): string =>
    `<< /Type /Font /Subtype /Type1 /BaseFont /${name} /Encoding /WinAnsiEncoding >>`;
  return assembled([
    // Asks print dialogs to offer the page at its own size.
    '<< /Type /Catalog /Pages 2 0 R /ViewerPreferences << /PrintScaling /None >> >>',
    '<< /Type /Pages /Kids [3 0 R] /Count 1 >>',
    `<< /Type /Page /Parent 2 0 R /MediaBox ${box} /Contents 4 0 R /Resources << /Font << /F1 5 0 R /F2 6 0 R >> >> >>`,
    `<< /Length ${content.length} >>\nstream\n${content}\nendstream`,
    font('Helvetica'),
    font('Helvetica-Bold'),
    `<< /Title (${escaped(title)}) /Producer (Portsight) >>`,
  ]);
}

const pointsPerMm = 72 / 25.4;

function decimal(value: number): string {
  return String(Number(value.toFixed(5)));
}

function drawn(shape: SheetShape): string {
  switch (shape.kind) {
    case 'piece':
      return ringPiece(shape);
    case 'circle': {
      const { centreMm, radiusMm, lineMm } = shape;
      return `${decimal(lineMm)} w ${arc(centreMm, radiusMm, 0, 360, 'm')} h S`;
    }
    case 'line': {
      const [[x1, y1], [x2, y2]] = [shape.fromMm, shape.toMm];
      return `${decimal(shape.lineMm)} w ${decimal(x1)} ${decimal(y1)} m ${decimal(x2)} ${decimal(y2)} l S`;
    }
    case 'text':
      return textLine(shape);
  }
}

function ringPiece({ centreMm, fromDeg, toDeg, innerMm, outerMm }: Extract<SheetShape, { kind: 'piece' }>): string {
  return `${arc(centreMm, outerMm, fromDeg, toDeg, 'm')} ${arc(centreMm, innerMm, toDeg, fromDeg, 'l')} h f`;
}

/** Longest piece of an arc that one Bézier curve draws: off by less than 1e-6 of the radius. */
const mostArcDeg = 30;

/** An arc, angles clockwise from upwards; `start` moves (`m`) or draws (`l`) to its first point. */
function arc(
  [cx, cy]: readonly [number, number],
  radius: number,
  fromDeg: number,
  toDeg: number,
  start: 'm' | 'l',
): string {
  const parts = Math.max(1, Math.ceil(Math.abs(toDeg - fromDeg) / mostArcDeg));
  const step = ((toDeg - fromDeg) / parts) * (Math.PI / 180);
  const handle = (4 / 3) * Math.tan(step / 4) * radius;
  const at = (t: number, along: number): string => {
    const x = cx + radius * Math.sin(t) + along * Math.cos(t);
    const y = cy - radius * Math.cos(t) + along * Math.sin(t);
    return `${decimal(x)} ${decimal(y)}`;
  };
  const first = (fromDeg * Math.PI) / 180;
  const out = [`${at(first, 0)} ${start}`];
  for (let i = 0; i < parts; i++) {
    const a = first + i * step;
    out.push(`${at(a, handle)} ${at(a + step, -handle)} ${at(a + step, 0)} c`);
  }
  return out.join(' ');
}

function textLine({ text, atMm, anchor, sizeMm, turnDeg, isBold }: Extract<SheetShape, { kind: 'text' }>): string {
  const t = (turnDeg * Math.PI) / 180;
  const c = Math.cos(t);
  const s = Math.sin(t);
  const back = anchor === 'middle' ? widthOf(text, isBold) * sizeMm * 0.5 : 0;
  const x = atMm[0] - back * c;
  const y = atMm[1] - back * s;
  // The page's y runs downwards; letters are turned the right way up again.
  const matrix = [c, s, s, -c, x, y].map(decimal).join(' ');
  return `BT /${isBold ? 'F2' : 'F1'} ${decimal(sizeMm)} Tf ${matrix} Tm (${escaped(text)}) Tj ET`;
}

/**
 * Advance widths of the letters that the sheet centres, thousandths of the letter size: the figures and the space are as
 * wide in both weights; the rest follows the groups below, near enough for a caption.
 * @source metrics of the standard fonts, Adobe Core 14 AFM files
 */
const letterGroups: readonly (readonly [string, number, number])[] = [
  ['ijl', 222, 278],
  [' ,./t', 278, 305],
  ['fr()', 310, 340],
  ['cksvxyz', 500, 556],
  ['abdeghnopqu0123456789', 556, 600],
  ['m', 833, 889],
  ['w', 722, 778],
];
const figures = '0123456789';

function widthOf(text: string, isBold: boolean): number {
  let sum = 0;
  for (const letter of text) {
    const group = letterGroups.find(([letters]) => letters.includes(letter));
    if (figures.includes(letter)) sum += 556;
    else if (group === undefined) sum += 667;
    else sum += isBold ? group[2] : group[1];
  }
  return sum / 1000;
}

/** @throws Error where a letter is outside the ASCII range that the sheet's font encoding is used for */
function escaped(text: string): string {
  if (!/^[\x20-\x7e]*$/.test(text)) throw new Error(`the sheet can't write "${text}"`);
  return text.replaceAll(/[\\()]/g, (c) => `\\${c}`);
}

/** Objects with their cross-reference table; the last one is the document's information. */
function assembled(objects: readonly string[]): Uint8Array {
  let out = '%PDF-1.6\n';
  const offsets = objects.map((body, i) => {
    const offset = out.length;
    out += `${i + 1} 0 obj\n${body}\nendobj\n`;
    return offset;
  });
  const table = out.length;
  const entries = offsets.map((offset) => `${String(offset).padStart(10, '0')} 00000 n \n`);
  out += `xref\n0 ${objects.length + 1}\n0000000000 65535 f \n${entries.join('')}`;
  out += `trailer\n<< /Size ${objects.length + 1} /Root 1 0 R /Info ${objects.length} 0 R >>\nstartxref\n${table}\n%%EOF\n`;
  return Uint8Array.from(out, (c) => c.charCodeAt(0));
}
