import type { StepState } from '../../core/mockup/check-results.ts';

export const stepStateWords: Readonly<Record<StepState, string>> = {
  open: 'open',
  done: 'done',
  skipped: 'skipped',
  void: 'void, read again',
  doubtful: 'in doubt, read again',
  out_of_limits: 'out of limits',
};

/** How a step stands, as a shape; the word always stands with it. */
export function StepMark({ state }: { state: StepState }) {
  return (
    <svg className={`step-mark step-mark-${state}`} viewBox="0 0 16 16" width="16" height="16" aria-hidden="true">
      {shapeOf(state)}
    </svg>
  );
}

function shapeOf(state: StepState) {
  const line = { fill: 'none', stroke: 'currentColor', strokeWidth: 2 } as const;
  switch (state) {
    case 'open':
      return <circle cx="8" cy="8" r="5.5" {...line} />;
    case 'done':
      return <circle cx="8" cy="8" r="6.5" fill="currentColor" />;
    case 'skipped':
      return <path d="M2 8H14" {...line} />;
    case 'void':
      return (
        <>
          <circle cx="8" cy="8" r="5.5" {...line} />
          <path d="M4.2 11.8 11.8 4.2" {...line} />
        </>
      );
    case 'doubtful':
      return <circle cx="8" cy="8" r="5.5" {...line} strokeDasharray="3.4 2.4" />;
    case 'out_of_limits':
      return <path d="M8 0.8 15.2 8 8 15.2 0.8 8Z" fill="currentColor" />;
  }
}
