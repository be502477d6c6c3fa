import { LinkButton, Notice } from '../../parts/controls.tsx';
import { pointerText } from '../../state/pointer-words.ts';
import type { PointerNews } from '../../wheel-worker/pointer-watch.ts';

/** Says it at the bench when the marked pointer has moved. */
export function PointerNotice({ pointer, mockUpId }: { pointer: PointerNews | null; mockUpId: string }) {
  const { sentence, isTrouble } = pointerText(pointer);
  if (!isTrouble) return null;
  return (
    <div data-testid="pointer-notice">
      <Notice
        tone="failure"
        title="Pointer"
        action={<LinkButton to={{ screen: 'mock-up', mockUpId, place: 'set-up' }}>To the set-up</LinkButton>}
      >
        {sentence}
      </Notice>
    </div>
  );
}
