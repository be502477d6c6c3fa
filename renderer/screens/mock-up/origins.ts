import type { Value } from '../../../core/uncertainty/value.ts';
import { shownAngle } from '../../drawings/timing-data.ts';
import type { Origin } from '../../parts/origin-panel.tsx';
import { shownTime } from '../../parts/time-text.ts';
import type { EventRow, FigureRow } from '../../state/mock-up-result.ts';

const routeTitles: Readonly<Record<Value['contributions'][number]['route'], string>> = {
  repeats: 'repeats',
  hysteresis: 'one direction only (hysteresis)',
  resolution: 'resolution',
  instrument: 'the reader itself',
  propagated: 'carried over',
  monte_carlo: 'Monte Carlo',
};

/** Where the angle of an edge comes from. */
export function originOfEvent(row: EventRow): Origin {
  const value = row.crank;
  return {
    title: row.title,
    value: value === null ? 'open' : `${shownAngle(value.value, 2)} ± ${(2 * value.sigma).toFixed(2)}`,
    how: 'Mean of the means of both directions of turning, less the angle of true TDC. Where one direction only was read, half the slack is taken as a further uncertainty.',
    source: 'definitions of the angles; JCGM 100:2008 (GUM) for the uncertainty',
    uncertaintyRoute: routesOf(value),
    readings: row.stamps.map((stamp) => ({
      what: stamp.current.subject.what === 'port_edge' ? `turning ${stamp.current.subject.turning}` : '',
      value: readingText(stamp.current.subject),
      note: [shownTime(stamp.root.takenAt), stamp.root.measuredBy, stamp.reason]
        .filter((part) => part !== '')
        .join(', '),
    })),
    contributions: contributionsOf(value),
    remarks: row.question === null ? [] : [row.question],
  };
}

/** Where a duration or lead comes from. */
export function originOfFigure(row: FigureRow): Origin {
  return {
    title: row.title,
    value:
      row.value === null ? 'open' : `${row.value.value.toFixed(2)} ± ${(2 * row.value.sigma).toFixed(2)} ${row.unit}`,
    how: row.how,
    source: row.source,
    uncertaintyRoute: routesOf(row.value),
    readings: [],
    contributions: contributionsOf(row.value),
    remarks: [],
  };
}

function routesOf(value: Value | null): string {
  if (value === null) return 'Nothing is measured yet.';
  const routes = [...new Set(value.contributions.map((part) => routeTitles[part.route]))];
  const freedom =
    value.degreesOfFreedom === null ? '' : ` Effective degrees of freedom: ${value.degreesOfFreedom.toFixed(0)}.`;
  return `U = k u with k = 2. u = ${value.sigma.toFixed(3)} deg, found by: ${routes.join('; ')}.${freedom}`;
}

function contributionsOf(value: Value | null): Origin['contributions'] {
  return (value?.contributions ?? []).map((part) => ({
    what: part.from,
    standardUncertainty: `${Math.abs(part.effect).toFixed(3)}`,
    why: routeTitles[part.route],
  }));
}

function readingText(subject: EventRow['stamps'][number]['current']['subject']): string {
  if (subject.what === 'quantity') return subject.typedText;
  const { angle } = subject;
  return angle.by === 'typed'
    ? `wheel ${angle.typedText}`
    : `rotation ${angle.rotationDeg.toFixed(3)} deg${angle.provisional ? ', provisional' : ''}`;
}
