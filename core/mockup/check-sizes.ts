/** Sizes read at the checks, for whoever works on with them: planner, areas, ratios. */
import { differenceOf, meanValue } from '../uncertainty/linear.ts';
import { propagate } from '../uncertainty/propagate.ts';
import { exactly, type Value } from '../uncertainty/value.ts';
import { domeVolume } from '../volumes/burette.ts';
import { asEntered } from './as-entered.ts';
import { attempted, type CheckContext, smallestOf } from './check-rows.ts';
import type { MeasuredSizes } from './measured-sizes.ts';

const mean = (values: readonly Value[]): Value | null => (values.length === 0 ? null : meanValue(values));

/** Mean bore as measured; null where nothing was read. */
export function measuredBore({ readings }: Pick<CheckContext, 'readings'>): Value | null {
  return mean([...readings.values('bore_along_pin'), ...readings.values('bore_across_pin')]);
}

/** The bore to work with: as measured, else the barrel's entry. */
export function boreOf(context: Pick<CheckContext, 'readings' | 'whole'>): Value | null {
  const { barrel } = context.whole;
  const entered = barrel.kind === 'barrel' ? barrel.data.boreMm : null;
  return measuredBore(context) ?? asEntered('bore', entered);
}

/** Poured less the hole that was filled with it; a hole that nobody measured counts as none. */
function pouredLess({ readings }: CheckContext, poured: string, hole: string): Value | null {
  const volume = readings.value(poured);
  const less = readings.value(hole);
  return volume === null || less === null ? volume : differenceOf(volume, less);
}

/** Volume of the dome, poured on to the crown at a known depth; null while one of the two is missing. */
function domeOf(context: CheckContext): Value | null {
  const { readings } = context;
  const bore = boreOf(context);
  const depth = readings.value('dome_depth');
  const poured = readings.value('dome_poured');
  if (bore === null || depth === null || poured === null) return null;
  const hole = readings.value('plate_hole_volume') ?? exactly(0);
  return attempted(context, 'head_volume', 'Volume of the dome', () =>
    propagate(
      ([boreMm = 0, depthMm = 0, buretteVolumeCc = 0, plateHoleVolumeCc = 0]) =>
        domeVolume({ boreMm, depthMm, buretteVolumeCc, plateHoleVolumeCc }),
      [
        { name: 'bore', ...bore, route: 'propagated' },
        { name: 'depth of the crown edge', ...depth, route: 'propagated' },
        { name: 'poured volume', ...poured, route: 'propagated' },
        { name: "plate's hole", ...hole, route: 'propagated' },
      ],
    ),
  );
}

/** What was measured; `sizesOf` puts the parts' own entries in the place of what is null. */
export function measuredSizes(context: CheckContext): MeasuredSizes {
  const { readings } = context;
  return {
    boreMm: measuredBore(context),
    deckMm: mean(readings.values('deck')),
    squishMm: smallestOf(readings.values('squish')),
    headVolumeCc: pouredLess(context, 'head_poured', 'plate_hole_volume'),
    domeVolumeCc: domeOf(context),
    assembledVolumeCc: pouredLess(context, 'assembled_poured', 'plug_hole_volume'),
    headGasketMm: mean(readings.values('head_gasket_crushed')),
    crankcaseVolumeBdcCc: readings.value('crankcase_poured'),
    portHeightsMm: Object.fromEntries(
      readings
        .places('port_height')
        .flatMap(({ position, value }) => (value === null ? [] : [[position.id, value] as const])),
    ),
  };
}
