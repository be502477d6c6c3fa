import { useEffect } from 'react';
import { useStore } from 'zustand';
import { type EditorState, type EditorStore, redone, undone } from '../state/editor.ts';
import { Button } from './controls.tsx';
import { isTyping } from './keyboard.ts';

/** Undo, redo, and whether the last change is kept yet. */
export function EditingBar<T>({ editor, takesKeys = false }: { editor: EditorStore<T>; takesKeys?: boolean }) {
  const state = useStore(editor);
  useEffect(() => {
    if (!takesKeys) return;
    const onKey = (event: KeyboardEvent) => {
      if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== 'z' || isTyping(event.target)) return;
      event.preventDefault();
      editor.setState(event.shiftKey ? redone(editor.getState()) : undone(editor.getState()));
    };
    window.addEventListener('keydown', onKey);
    return () => window.removeEventListener('keydown', onKey);
  }, [editor, takesKeys]);
  return (
    <div className="row">
      <span className="small muted" role="status">
        {phaseText(state)}
      </span>
      <Button
        look="quiet"
        isDisabled={state.past.length === 0}
        onPress={() => editor.setState(undone(editor.getState()))}
      >
        Undo
      </Button>
      <Button
        look="quiet"
        isDisabled={state.future.length === 0}
        onPress={() => editor.setState(redone(editor.getState()))}
      >
        Redo
      </Button>
    </div>
  );
}

function phaseText(state: EditorState<unknown>): string {
  switch (state.phase) {
    case 'kept':
      return state.past.length === 0 ? '' : 'Kept';
    case 'changed':
      return 'Not kept yet';
    case 'keeping':
      return 'Keeping';
    case 'failed':
      return `Not kept: ${state.failure ?? ''}`;
  }
}
