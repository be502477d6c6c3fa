/** Does a key press at this target belong to a field that is being typed into? */
export function isTyping(target: EventTarget | null): boolean {
  if (!(target instanceof HTMLElement)) return false;
  if (target.isContentEditable || target instanceof HTMLTextAreaElement || target instanceof HTMLSelectElement)
    return true;
  if (!(target instanceof HTMLInputElement)) return target.closest('dialog[open]') !== null;
  return !['checkbox', 'radio', 'button', 'range'].includes(target.type);
}

/** A key's code as people call it: `KeyS` is S, `Space` the space bar. */
export function keyTitle(code: string): string {
  if (code === 'Space') return 'Space bar';
  return code
    .replace(/^Key/, '')
    .replace(/^Digit/, '')
    .replace(/^Numpad(.+)$/, 'Keypad $1')
    .replace(/^Arrow(.+)$/, 'Arrow $1')
    .replace(/([a-z])([A-Z])/g, '$1 $2');
}
