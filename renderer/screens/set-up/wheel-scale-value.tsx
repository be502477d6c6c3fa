import type { WheelSetupContent } from '../../../core/contract/readings.ts';
import type { ScaleReading } from '../../../core/crank/wheel-scale.ts';
import { scaleDifference, scaleShown } from '../../state/wheel-scale-shown.ts';

/** The number under the pointer as the wheel itself would show it, with the reason where the crank angle says another. */
export function WheelScaleValue({
  content,
  rotationDeg,
  crankDeg,
}: {
  content: WheelSetupContent | null;
  rotationDeg: number | null;
  /** Degrees forwards from true TDC; null until TDC is found. */
  crankDeg: number | null;
}) {
  const shown = content === null ? null : scaleShown(content, rotationDeg);
  if (content === null || shown === null) return null;
  return (
    <p className="wheel-scale-value" data-testid="wheel-scale-value">
      The wheel shows <strong>{shown.reading.shownDeg.toFixed(1)}</strong>
      {sideWords(shown.reading)}.{crankDeg === null ? '' : ` ${scaleDifference(content, shown, crankDeg).sentence}`}
    </p>
  );
}

function sideWords({ sideOfZero, shownDeg }: ScaleReading): string {
  if (sideOfZero == null || shownDeg === 0) return '';
  return sideOfZero === 'after' ? ' after its zero' : ' before its zero';
}
