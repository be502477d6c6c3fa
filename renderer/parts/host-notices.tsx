import { withoutNotice } from '../state/host-info.ts';
import { useHost, useRoute, useServices } from '../state/services.ts';
import { Button, LinkButton, Notice } from './controls.tsx';

/** What the program has to say about itself, over every screen: not reached, read-only, port taken, clock set back. */
export function HostNotices() {
  const { host } = useServices();
  const { info, isReached, failure, notices } = useHost();
  const route = useRoute();
  // The list of builds and the backups say at length what is the matter with the book.
  const isSaidBelow = route.screen === 'book' || route.screen === 'backups';
  const readOnly = isSaidBelow ? null : (info?.readOnlyReason ?? null);
  if (isReached && failure === null && readOnly === null && notices.length === 0) return null;
  return (
    <section className="host-notices" aria-label="What the program has to say">
      {isReached ? null : (
        <Notice tone="failure" title="The program behind this page is not reached.">
          Everything acknowledged so far is stored. The page tries again by itself; if it stays like this, start
          Portsight again.
        </Notice>
      )}
      {failure === null ? null : <Notice tone="failure">{failure}</Notice>}
      {readOnly === null ? null : (
        <Notice
          tone="caution"
          title="Nothing can be stored now."
          action={
            <LinkButton look="quiet" to={{ screen: 'backups' }}>
              What to do
            </LinkButton>
          }
        >
          {readOnly}
        </Notice>
      )}
      {notices.map((sentence) => (
        <Notice
          key={sentence}
          tone="note"
          action={
            <Button look="quiet" onPress={() => host.setState(withoutNotice(host.getState(), sentence))}>
              Put away
            </Button>
          }
        >
          {sentence}
        </Notice>
      ))}
    </section>
  );
}
