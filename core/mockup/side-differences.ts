/** Drive side against ignition side of a pair of ports, in a sentence. */
import type { Port } from '../contract/parts.ts';
import { coverageFactor } from '../uncertainty/value.ts';
import { edgeTitle } from './run-order.ts';
import type { TimingResult } from './timing-result.ts';

/**
 * One sentence for each pair of ports of one kind that lie on both sides and were both read.
 * The figures behind them are those of the timing with keys `sides:DRIVE:IGNITION`.
 */
export function sideSentences(timing: TimingResult, ports: readonly Port[]): string[] {
  return timing.figures.flatMap(({ key, value }) => {
    const [what, driveId, ignitionId] = key.split(':');
    if (what !== 'sides' || value === null) return [];
    const drive = ports.find(({ portId }) => portId === driveId);
    const ignition = ports.find(({ portId }) => portId === ignitionId);
    if (drive === undefined || ignition === undefined) return [];
    const expandedDeg = coverageFactor * value.sigma;
    const [first, second] = value.value >= 0 ? [drive, ignition] : [ignition, drive];
    const by = `${Math.abs(value.value).toFixed(1)} deg`;
    return [
      Math.abs(value.value) > expandedDeg
        ? `${edgeTitle(first, 'opens')} ${by} earlier than ${second.label} (U ${expandedDeg.toFixed(1)}).`
        : `${drive.label} and ${ignition.label} open together as far as can be told: ${by} apart, U ${expandedDeg.toFixed(1)}.`,
    ];
  });
}
