/** A bar of exactly 100 mm to lay a rule on: shows whether the printer shrank the page, in each direction. */
export function CheckBar({ direction }: { direction: 'across' | 'upright' }) {
  const ticks = Array.from({ length: 11 }, (_, index) => index * 10);
  const isAcross = direction === 'across';
  return (
    <svg
      className="drawing check-bar"
      width={isAcross ? '104mm' : '7mm'}
      height={isAcross ? '7mm' : '104mm'}
      viewBox={isAcross ? '-2 0 104 7' : '0 -2 7 104'}
      role="img"
      aria-label={`Check bar of 100 mm, ${direction}`}
    >
      {isAcross ? <path className="line-ink" d="M0 1.5H100" /> : <path className="line-ink" d="M5.5 0V100" />}
      {ticks.map((tick) => (
        <path
          key={tick}
          className="line-ink"
          d={isAcross ? `M${tick} 0.2V${tick % 50 === 0 ? 3.2 : 1.5}` : `M6.8 ${tick}H${tick % 50 === 0 ? 3.8 : 5.5}`}
        />
      ))}
      {isAcross ? (
        <text x="50" y="6" textAnchor="middle">
          must measure 100 mm
        </text>
      ) : (
        <text transform="translate(3 50) rotate(-90)" textAnchor="middle">
          must measure 100 mm
        </text>
      )}
    </svg>
  );
}
