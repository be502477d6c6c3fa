import { nextPlace } from '../state/guided-run.ts';
import { useCheckResults } from '../state/use-check-results.ts';
import { LinkButton } from './controls.tsx';

/** The way on from a place where everything is done: the next step of the mock-up. */
export function NextStepLink() {
  const shown = useCheckResults();
  if (shown === null) return null;
  const next = nextPlace(shown.results, shown.whole);
  return (
    <LinkButton look="main" to={next.route}>
      {next.isStep ? `Next step: ${next.title}` : next.action}
    </LinkButton>
  );
}
