import type { MockUpWhole } from '../contract/messages.ts';
import { InputError } from '../errors.ts';
import { propagate } from '../uncertainty/propagate.ts';
import type { Value } from '../uncertainty/value.ts';
import type { Cc, Mm } from '../units.ts';
import { clearanceVolume } from '../volumes/ratio.ts';
import { asEntered } from './as-entered.ts';
import type { MeasuredSizes, MissingPlace, MissingSize } from './measured-sizes.ts';

/**
 * Volume over the piston at TDC: as filled, else put together from head, gasket, deck and dome.
 * @param missing gets a sentence where it can't be told
 */
export function clearanceOf(
  whole: MockUpWhole,
  measured: MeasuredSizes,
  boreMm: Mm,
  missing: MissingSize[],
): Value | null {
  if (measured.assembledVolumeCc !== null) return measured.assembledVolumeCc;
  const { head: headPart, piston } = whole;
  const head =
    measured.headVolumeCc ?? asEntered('head volume', headPart?.kind === 'head' ? headPart.data.volumeCc : null);
  const gasket = measured.headGasketMm ?? asEntered('head gasket', whole.mockUp.headGasketMm);
  const dome = measured.domeVolumeCc ?? asEntered('dome', piston?.kind === 'piston' ? piston.data.domeVolumeCc : null);
  const deck = measured.deckMm;
  const gaps: readonly (readonly [Value | null, string, MissingPlace])[] = [
    [head, 'the head volume', 'checks'],
    [gasket, 'the head gasket as fitted (0 where there is none)', 'mock_up'],
    [deck, 'the deck', 'checks'],
    [dome, "the volume of the piston's dome (0 for a flat crown)", 'piston'],
  ];
  const open = gaps.filter(([value]) => value === null);
  if (head === null || gasket === null || deck === null || dome === null) {
    const names = open.map(([, name]) => name);
    const last = names.pop() ?? '';
    const list = names.length === 0 ? last : `${names.join(', ')} and ${last}`;
    missing.push({
      group: 'ratios',
      portId: null,
      sentence: `The volume over the piston at TDC needs ${list}, or the assembled engine filled by burette.`,
      where: open[0]?.[2] ?? 'checks',
    });
    return null;
  }
  const gasketBoreMm = (whole.headGasket?.kind === 'gasket' ? whole.headGasket.data.boreMm : null) ?? boreMm;
  try {
    return propagate(
      ([headVolumeCc = 0, gasketThicknessMm = 0, deckClearanceMm = 0, domeVolumeCc = 0]): Cc =>
        clearanceVolume({ headVolumeCc, boreMm, gasketBoreMm, gasketThicknessMm, deckClearanceMm, domeVolumeCc }),
      [
        { name: 'head volume', ...head, route: 'propagated' },
        { name: 'head gasket', ...gasket, route: 'propagated' },
        { name: 'deck', ...deck, route: 'propagated' },
        { name: 'dome', ...dome, route: 'propagated' },
      ],
    );
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    missing.push({ group: 'ratios', portId: null, sentence: error.message, where: 'checks' });
    return null;
  }
}
