import { usePreferences } from './services.ts';

/** Trade words that have a British and an American form. */
export interface Words {
  readonly barrel: string;
  readonly Barrel: string;
  readonly barrels: string;
  readonly pin: string;
}

export function wordsFrom(barrel: 'barrel' | 'cylinder', pin: string): Words {
  return { barrel, Barrel: barrel === 'barrel' ? 'Barrel' : 'Cylinder', barrels: `${barrel}s`, pin };
}

export function useWords(): Words {
  const { barrelWord, pinWord } = usePreferences();
  return wordsFrom(barrelWord, pinWord);
}
