import type { SheetShape, WheelSheet } from '../../core/wheel/coded/wheel-sheet.ts';

/** The page with the wheel as it will be printed, small. */
export function WheelSheetDrawing({ sheet }: { sheet: WheelSheet }) {
  const pieces = sheet.shapes.flatMap((shape) => (shape.kind === 'piece' ? [pieceOutline(shape)] : []));
  return (
    <svg
      className="wheel-sheet"
      viewBox={`0 0 ${sheet.widthMm} ${sheet.heightMm}`}
      role="img"
      aria-label="Preview of the page with the wheel"
    >
      <rect width={sheet.widthMm} height={sheet.heightMm} fill="#fff" />
      <path d={pieces.join('')} fill="#000" />
      {sheet.shapes.map((shape) => (
        <Outline key={keyOf(shape)} shape={shape} />
      ))}
    </svg>
  );
}

function Outline({ shape }: { shape: SheetShape }) {
  switch (shape.kind) {
    case 'piece':
      return null;
    case 'circle':
      return (
        <circle
          cx={shape.centreMm[0]}
          cy={shape.centreMm[1]}
          r={shape.radiusMm}
          fill="none"
          stroke="#000"
          strokeWidth={shape.lineMm}
        />
      );
    case 'line':
      return (
        <line
          x1={shape.fromMm[0]}
          y1={shape.fromMm[1]}
          x2={shape.toMm[0]}
          y2={shape.toMm[1]}
          stroke="#000"
          strokeWidth={shape.lineMm}
        />
      );
    case 'text':
      return (
        <text
          transform={`translate(${shape.atMm[0]} ${shape.atMm[1]}) rotate(${shape.turnDeg})`}
          fontSize={shape.sizeMm}
          fontWeight={shape.isBold ? 700 : 400}
          textAnchor={shape.anchor}
          fontFamily="Helvetica, Arial, sans-serif"
          fill="#000"
        >
          {shape.text}
        </text>
      );
  }
}

/** Path of a dark piece of a ring, angles clockwise from upwards. */
function pieceOutline({ centreMm, fromDeg, toDeg, innerMm, outerMm }: Extract<SheetShape, { kind: 'piece' }>): string {
  const at = (radius: number, deg: number): string => {
    const t = (deg * Math.PI) / 180;
    return `${(centreMm[0] + radius * Math.sin(t)).toFixed(3)} ${(centreMm[1] - radius * Math.cos(t)).toFixed(3)}`;
  };
  const arc = (radius: number, deg: number, sweep: 0 | 1): string =>
    `A${radius} ${radius} 0 0 ${sweep} ${at(radius, deg)}`;
  return `M${at(outerMm, fromDeg)}${arc(outerMm, toDeg, 1)}L${at(innerMm, toDeg)}${arc(innerMm, fromDeg, 0)}Z`;
}

function keyOf(shape: SheetShape): string {
  switch (shape.kind) {
    case 'piece':
      return `piece ${shape.innerMm} ${shape.fromDeg}`;
    case 'circle':
      return `circle ${shape.radiusMm}`;
    case 'line':
      return `line ${shape.fromMm.join(' ')} ${shape.toMm.join(' ')}`;
    case 'text':
      return `text ${shape.text} ${shape.atMm.join(' ')}`;
  }
}
