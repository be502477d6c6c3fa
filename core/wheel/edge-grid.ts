import type { EdgePixels } from './image-ops.ts';

const gridPx = 8;
/** A pixel's opposite number may lie this far from the exact place: the centre is known to a cell only. */
const oppositePx = 5;

/** Edge pixels by place, for looking up neighbours. */
export interface EdgeGrid {
  readonly cols: number;
  readonly rows: number;
  readonly start: Int32Array;
  readonly order: Int32Array;
}

export function edgeGrid(edges: EdgePixels, widthPx: number, heightPx: number): EdgeGrid {
  const cols = Math.ceil(widthPx / gridPx);
  const rows = Math.ceil(heightPx / gridPx);
  const start = new Int32Array(cols * rows + 1);
  const cellOf = (i: number): number =>
    (((edges.y[i] as number) / gridPx) | 0) * cols + (((edges.x[i] as number) / gridPx) | 0);
  for (let i = 0; i < edges.count; i++) start[cellOf(i) + 1] = (start[cellOf(i) + 1] as number) + 1;
  for (let c = 0; c < cols * rows; c++) start[c + 1] = (start[c + 1] as number) + (start[c] as number);
  const fill = Int32Array.from(start);
  const order = new Int32Array(edges.count);
  for (let i = 0; i < edges.count; i++) {
    const c = cellOf(i);
    order[fill[c] as number] = i;
    fill[c] = (fill[c] as number) + 1;
  }
  return { cols, rows, start, order };
}

/** Does an edge with the opposite gradient lie at the place? (gx, gy) is a unit vector. */
export function hasOpposite(edges: EdgePixels, grid: EdgeGrid, x: number, y: number, gx: number, gy: number): boolean {
  const x0 = Math.max(0, ((x - oppositePx) / gridPx) | 0);
  const x1 = Math.min(grid.cols - 1, ((x + oppositePx) / gridPx) | 0);
  const y0 = Math.max(0, ((y - oppositePx) / gridPx) | 0);
  const y1 = Math.min(grid.rows - 1, ((y + oppositePx) / gridPx) | 0);
  for (let cy = y0; cy <= y1; cy++)
    for (let cx = x0; cx <= x1; cx++) {
      const c = cy * grid.cols + cx;
      for (let k = grid.start[c] as number; k < (grid.start[c + 1] as number); k++) {
        const j = grid.order[k] as number;
        const ex = (edges.x[j] as number) - x;
        const ey = (edges.y[j] as number) - y;
        if (ex * ex + ey * ey > oppositePx * oppositePx) continue;
        const dx = edges.dx[j] as number;
        const dy = edges.dy[j] as number;
        if (-(dx * gx + dy * gy) > 0.985 * Math.hypot(dx, dy)) return true;
      }
    }
  return false;
}
