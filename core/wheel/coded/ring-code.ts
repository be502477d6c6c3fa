/**
 * The bits of the coded ring and what they promise. Each of 180 cells, 2 degrees wide, says one bit. Take any arc of 30
 * neighbouring cells (60 degrees): it differs in at least `shortArcDistance` cells from every other arc of that length,
 * also from every arc read in a mirror, and from both with all bits turned over. So up to three misread cells of 30 leave
 * only one place on the ring where the arc can lie, and more are noticed.
 * @source distance and how many errors it corrects: Hamming, "Error detecting and error correcting codes" (Bell System
 *   Technical Journal 29, 1950); sequences whose windows are a code: Berkowitz and Kopparty, "Robust positioning patterns"
 *   (SODA 2016). The bits are our own, found by `build/derive-ring-code.ts`; the tests check the promise for every pair.
 */
export const cellCount = 180;
export const cellDeg = 360 / cellCount;

/** Cells of the shortest arc that counts as proof. */
export const shortArcCells = 30;
/** Cells in which any two arcs of that length differ at least. */
export const shortArcDistance = 7;

const digits = 'ec2b73ae890b758617b274a423d13c31ae5674aecf47a';

/** Bit of each cell, clockwise on the face from the zero mark: cell i spans 2i to 2i + 2 degrees. */
export const ringBits: readonly (0 | 1)[] = [...digits].flatMap((digit) => {
  const value = Number.parseInt(digit, 16);
  return [8, 4, 2, 1].map((b): 0 | 1 => ((value & b) === 0 ? 0 : 1));
});
