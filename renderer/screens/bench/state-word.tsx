import { refusalText } from '../../../core/wheel/refusals.ts';
import { cameraStateText } from '../../camera/camera-states.ts';
import type { SightState } from '../../state/bench-sight.ts';

/** The one state word: a shape, the word, and a line that says what to do. Never colour alone. */
export function StateWord({ sight, question }: { sight: SightState; question: string | null }) {
  const { live, camera, setup } = sight;
  const [shape, word, line] =
    camera.kind !== 'running'
      ? (['✕', 'Can’t read', cameraSentence(camera)] as const)
      : setup === null || live === null
        ? (['✕', 'Can’t read', 'The wheel is not set up yet.'] as const)
        : !live.reading.accepted
          ? ([
              '✕',
              'Can’t read',
              `${refusalText(live.reading.reason).what} ${refusalText(live.reading.reason).remedy}`,
            ] as const)
          : question !== null
            ? (['▲', 'Re-check TDC', question] as const)
            : live.motion === 'turning'
              ? ([
                  '◐',
                  'Turning',
                  live.reading.provisional ? 'Provisional until the crank has been turned once.' : '',
                ] as const)
              : ([
                  '●',
                  'Steady',
                  live.reading.provisional ? 'Provisional until the crank has been turned once.' : '',
                ] as const);
  return (
    <p className="bench-state" role="status" data-testid="state-word">
      <span aria-hidden="true">{shape}</span> <strong>{word}</strong> <small>{line}</small>
    </p>
  );
}

function cameraSentence(camera: SightState['camera']): string {
  const { what, remedy } = cameraStateText(camera);
  return `${what} ${remedy}`;
}
