import type { Port } from '../../../core/contract/parts.ts';
import { wantedSentence } from '../../../core/mockup/run-order.ts';
import type { BenchWanted } from '../../state/bench-run.ts';

/** What is asked for, as the bench says it. */
export function benchSentence(wanted: BenchWanted, ports: readonly Port[]): string {
  return wanted.what === 'tdc_check'
    ? `Check of TDC: piston against the stop, turning ${wanted.turning}`
    : wantedSentence(wanted, ports);
}

/** The caution that belongs to the next event. */
export function Caution({ wanted }: { wanted: BenchWanted | null }) {
  if (wanted === null) return null;
  return (
    <p className="bench-caution small">
      {wanted.what === 'port_edge'
        ? '▲ Take the stop out before turning past it. Turn by hand, plug out, ignition off; fingers out of the ports.'
        : '▲ Come on to the stop gently and by hand, never lean on it. Plug out and earthed, ignition off.'}
    </p>
  );
}
