import { papers, usualBoreMm, type WheelSheetWishes, wheelSheet } from '../../core/wheel/coded/wheel-sheet.ts';
import { pdfOfSheet } from './pdf.ts';

/**
 * The sheet as a file to keep or to print.
 * @throws InputError `out_of_range` where the wheel doesn't fit the paper or the hole the wheel
 */
export function printableWheel(wishes: WheelSheetWishes): { readonly fileName: string; readonly pdf: Uint8Array } {
  const { name, usualDiameterMm } = papers[wishes.paper];
  const diameterMm = wishes.diameterMm ?? usualDiameterMm;
  const boreMm = wishes.boreMm ?? usualBoreMm;
  const title = `Degree wheel ${diameterMm} mm ${name} ${wishes.grows}`;
  return { fileName: `${title}.pdf`, pdf: pdfOfSheet(wheelSheet({ ...wishes, diameterMm, boreMm }), title) };
}
