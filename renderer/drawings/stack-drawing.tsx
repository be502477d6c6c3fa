/** Gaskets, barrel, deck, head and crown cut open, as they stand and as they are planned to stand. */

const panelWidth = 92;
const gapBetween = 12;
const width = 2 * panelWidth + gapBetween;
const height = 104;
/** Drawing units in a millimetre of gap or gasket: thin things are drawn thick so that they can be told apart. */
const gapScale = 9;
const thinnest = 1.2;
const thickest = 16;
/** The crown edge at TDC stands at one height in both halves, so that everything else is seen to move. */
const crownY = 40;
const barrelTopLimit = 27;
const footY = 80;

/** One state of the stack; null where a size isn't known. */
export interface StackState {
  readonly baseGasketMm: number | null;
  readonly headGasketMm: number | null;
  /** Crown edge below the top of the barrel; negative where it stands proud. */
  readonly deckMm: number | null;
  readonly squishMm: number | null;
  readonly clearanceVolumeCc: number | null;
}

interface StackDrawingProps {
  readonly now: StackState;
  /** Null where nothing is planned. */
  readonly planned: StackState | null;
  readonly title: string;
  readonly lengthText: (valueMm: number) => string;
  readonly isInteractive?: boolean;
  readonly printedWidth?: string;
}

export function StackDrawing({
  now,
  planned,
  title,
  lengthText,
  isInteractive = false,
  printedWidth,
}: StackDrawingProps) {
  return (
    <svg
      className="drawing stack-drawing"
      viewBox={`0 0 ${width} ${height}`}
      width={printedWidth}
      role={isInteractive ? 'group' : 'img'}
      aria-label={title}
    >
      <defs>
        <pattern id="metal-hatch" width="2" height="2" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <line className="line-faint" x1="0" y1="0" x2="0" y2="2" />
        </pattern>
      </defs>
      <Stack state={now} x={0} heading="As it stands" lengthText={lengthText} isInteractive={isInteractive} />
      {planned === null ? (
        <text className="text-faint" x={panelWidth + gapBetween + panelWidth / 2} y={crownY - 2} textAnchor="middle">
          nothing planned yet
        </text>
      ) : (
        <Stack
          state={planned}
          x={panelWidth + gapBetween}
          heading="As planned"
          lengthText={lengthText}
          isInteractive={isInteractive}
        />
      )}
      <line className="line-faint" strokeDasharray="2 1.2" x1="0" x2={width} y1={crownY} y2={crownY} />
    </svg>
  );
}

interface StackProps {
  readonly state: StackState;
  readonly x: number;
  readonly heading: string;
  readonly lengthText: (valueMm: number) => string;
  readonly isInteractive: boolean;
}

/** Heights in drawing units of everything that is drawn. */
interface StackHeights {
  readonly barrelTop: number;
  readonly headFace: number;
  readonly squishFace: number;
  readonly baseTop: number;
}

export function stackHeights(state: StackState): StackHeights {
  const drawn = (mm: number, least = thinnest) => Math.min(thickest, Math.max(least, mm * gapScale));
  const deck = state.deckMm ?? 0;
  const barrelTop = crownY - Math.sign(deck) * Math.min(crownY - barrelTopLimit, Math.abs(deck) * gapScale);
  const headFace =
    barrelTop - (state.headGasketMm === null || state.headGasketMm === 0 ? 0 : drawn(state.headGasketMm));
  return {
    barrelTop,
    headFace,
    squishFace: crownY - (state.squishMm === null ? thinnest : drawn(state.squishMm, 0.4)),
    baseTop: footY - (state.baseGasketMm === null || state.baseGasketMm === 0 ? 0 : drawn(state.baseGasketMm)),
  };
}

const boreLeft = 16;
const boreRight = 54;
const wallRight = 64;
const bowlLeft = 24;
const bowlRight = 46;

function Stack({ state, x, heading, lengthText, isInteractive }: StackProps) {
  const { barrelTop, headFace, squishFace, baseTop } = stackHeights(state);
  const fixed = (value: number) => value.toFixed(2);
  const size = (valueMm: number | null, otherwise: string) => (valueMm === null ? otherwise : lengthText(valueMm));
  const marks: readonly Mark[] = [
    { name: 'head gasket', text: size(state.headGasketMm, 'not given'), y: (barrelTop + headFace) / 2, wanted: 20 },
    { name: 'squish', text: size(state.squishMm, 'not measured'), y: (crownY + squishFace) / 2, wanted: 32 },
    { name: 'deck', text: size(state.deckMm, 'not measured'), y: (crownY + barrelTop) / 2, wanted: 44 },
    { name: 'base gasket', text: size(state.baseGasketMm, 'not given'), y: (footY + baseTop) / 2, wanted: 77 },
  ];
  const wall = `M4 ${fixed(barrelTop)}H${boreLeft}V${fixed(baseTop)}H4Z`;
  const otherWall = `M${boreRight} ${fixed(barrelTop)}H${wallRight}V${fixed(baseTop)}H${boreRight}Z`;
  const head = `M4 8H${wallRight}V${fixed(headFace)}H${boreRight}V${fixed(squishFace)}H${bowlRight}C${bowlRight} ${fixed(squishFace - 15)} ${bowlLeft} ${fixed(squishFace - 15)} ${bowlLeft} ${fixed(squishFace)}H${boreLeft}V${fixed(headFace)}H4Z`;
  return (
    <g transform={`translate(${x} 0)`}>
      <text className="text-strong" x={34} y={5} textAnchor="middle">
        {heading}
      </text>
      <path className="stack-metal" d={head} />
      <path className="stack-gasket" d={`M4 ${fixed(headFace)}H${boreLeft}V${fixed(barrelTop)}H4Z`} />
      <path
        className="stack-gasket"
        d={`M${boreRight} ${fixed(headFace)}H${wallRight}V${fixed(barrelTop)}H${boreRight}Z`}
      />
      <path className="stack-metal" d={wall} />
      <path className="stack-metal" d={otherWall} />
      <path className="stack-gasket" d={`M4 ${fixed(baseTop)}H${boreLeft}V${footY}H4Z`} />
      <path className="stack-gasket" d={`M${boreRight} ${fixed(baseTop)}H${wallRight}V${footY}H${boreRight}Z`} />
      <path className="stack-metal" d={`M4 ${footY}H${boreLeft}V98H4Z`} />
      <path className="stack-metal" d={`M${boreRight} ${footY}H${wallRight}V98H${boreRight}Z`} />
      <path className="stack-piston" d={`M${boreLeft + 0.6} ${crownY}H${boreRight - 0.6}V74H${boreLeft + 0.6}Z`} />
      <text className="text-faint" x={35} y={58} textAnchor="middle">
        piston, TDC
      </text>
      <text className="text-faint" x={35} y={squishFace - 4} textAnchor="middle">
        {state.clearanceVolumeCc === null ? '' : `${state.clearanceVolumeCc.toFixed(2)} cm³`}
      </text>
      <text className="text-faint" x={34} y={103} textAnchor="middle">
        case mouth
      </text>
      {marks.map((mark) => (
        <MarkLabel key={mark.name} mark={mark} isInteractive={isInteractive} heading={heading} />
      ))}
    </g>
  );
}

interface Mark {
  readonly name: string;
  readonly text: string;
  readonly y: number;
  /** Where its label stands, apart from the others. */
  readonly wanted: number;
}

function MarkLabel({ mark, heading, isInteractive }: { mark: Mark; heading: string; isInteractive: boolean }) {
  const from = mark.name === 'squish' || mark.name === 'deck' ? boreRight - 4 : wallRight - 1;
  return (
    <g
      className="stack-label"
      tabIndex={isInteractive ? 0 : undefined}
      role={isInteractive ? 'img' : undefined}
      aria-label={isInteractive ? `${heading}: ${mark.name} ${mark.text}` : undefined}
    >
      <path className="line-leader" d={`M${from} ${mark.y.toFixed(2)}L67 ${mark.wanted - 1}H69`} />
      <text className="text-small" x={70} y={mark.wanted - 0.6}>
        {mark.name}
      </text>
      <text className="text-figure" x={70} y={mark.wanted + 3}>
        {mark.text}
      </text>
    </g>
  );
}
