/** Does a key press at this target belong to a field that is being typed into? */
export function isTyping(target: EventTarget | null): boolean {
  if (!(target instanceof HTMLElement)) return false;
  if (target.isContentEditable || target instanceof HTMLTextAreaElement || target instanceof HTMLSelectElement)
    return true;
  if (!(target instanceof HTMLInputElement)) return target.closest('dialog[open]') !== null;
  return !['checkbox', 'radio', 'button', 'range'].includes(target.type);
}
