/** Head, dome, assembled and crankcase volume, and the ratios that follow from them. */
import { isExhaust } from '../ports/kinds.ts';
import { compareValues } from '../uncertainty/conformity.ts';
import { propagate } from '../uncertainty/propagate.ts';
import type { Value } from '../uncertainty/value.ts';
import type { Mm } from '../units.ts';
import { crankcaseRatio, sweptVolume, trappedRatioFromDuration } from '../volumes/ratio.ts';
import { asEntered } from './as-entered.ts';
import { attempted, type CheckContext, type CheckRow, checkRow, largestOf, uncertainInput } from './check-rows.ts';
import { boreOf, measuredSizes } from './check-sizes.ts';
import { clearanceOf } from './clearance.ts';
import type { MissingSize } from './measured-sizes.ts';
import { durationKey } from './timing-figures.ts';
import { geometryOf } from './timing-result.ts';

export function volumeRows(context: CheckContext): CheckRow[] {
  const { readings, whole, ask } = context;
  const measured = measuredSizes(context);
  const bore = boreOf(context);
  const missing: MissingSize[] = [];
  const clearance = bore === null ? null : clearanceOf(whole, measured, bore.value, missing);
  const assembled = measured.assembledVolumeCc;
  const built =
    bore === null || assembled === null
      ? null
      : clearanceOf(whole, { ...measured, assembledVolumeCc: null }, bore.value, []);
  if (assembled !== null && built !== null) {
    const compared = compareValues({
      valueA: built.value,
      valueB: assembled.value,
      uA: built.sigma,
      uB: assembled.sigma,
    });
    if (compared.distinguishable) {
      ask(
        'head_volume',
        `Volume over the piston: filled assembled it is ${compared.difference.toFixed(2)} cm3 more than head, gasket, deck and dome together (U ${compared.expanded.toFixed(2)}). Look for a leak past the ring, a bubble, or the plug well counted twice.`,
      );
    }
  }
  const stepId = 'head_volume' as const;
  const row = (key: string, title: string, value: Value | null, how: string, from: readonly string[], remark = '') =>
    checkRow(context, {
      stepId,
      key,
      title,
      unit: 'cm3',
      value,
      how,
      remark,
      from: from.flatMap((id) => readings.places(id)),
    });
  const holeRemark = (poured: string, hole: string, what: string): string =>
    readings.value(poured) !== null && readings.value(hole) === null ? `${what} is counted as nothing.` : '';
  return [
    row(
      'head_volume',
      'Head volume',
      measured.headVolumeCc,
      "Poured less the plate's hole.",
      ['head_poured', 'plate_hole_volume'],
      holeRemark('head_poured', 'plate_hole_volume', "The plate's hole"),
    ),
    row(
      'dome_volume',
      "Volume of the piston's dome",
      measured.domeVolumeCc,
      'Flat cylinder of bore and depth less what was poured; negative for a dish.',
      ['dome_depth', 'dome_poured'],
    ),
    row(
      'assembled_volume',
      'Volume over the piston, filled assembled',
      assembled,
      'Poured at true TDC less the plug hole.',
      ['assembled_poured', 'plug_hole_volume'],
      holeRemark('assembled_poured', 'plug_hole_volume', 'The plug hole'),
    ),
    row(
      'clearance_volume',
      'Volume over the piston at TDC',
      clearance,
      assembled === null
        ? 'Head volume, head gasket and deck as discs, less the dome.'
        : 'As filled assembled; the sum of head, gasket, deck and dome is the check of it.',
      [],
      clearance === null ? (missing[0]?.sentence ?? '') : '',
    ),
    row('crankcase_volume', 'Crankcase volume at BDC', measured.crankcaseVolumeBdcCc, 'As poured.', [
      'crankcase_poured',
    ]),
    ...ratioRows(context, bore, clearance, measured.crankcaseVolumeBdcCc),
  ];
}

function ratioRows(
  context: CheckContext,
  bore: Value | null,
  clearance: Value | null,
  crankcase: Value | null,
): CheckRow[] {
  const { whole, timing } = context;
  const geometry = geometryOf(whole);
  const swept = (boreMm: Mm) => sweptVolume({ boreMm, ...(geometry ?? { strokeMm: 0 }) });
  const full =
    geometry === null || bore === null || clearance === null
      ? null
      : attempted(context, 'head_volume', 'Full-stroke ratio', () =>
          propagate(
            ([boreMm = 0, volume = 0]) => 1 + swept(boreMm) / volume,
            [uncertainInput('bore', bore), uncertainInput('volume over the piston', clearance)],
          ),
        );
  const exhausts = whole.barrel.kind === 'barrel' ? whole.barrel.data.ports.filter(({ kind }) => isExhaust(kind)) : [];
  const duration = largestOf(
    exhausts.flatMap(({ portId }) => timing.figures.find(({ key }) => key === durationKey(portId))?.value ?? []),
  );
  const trapped =
    geometry === null || bore === null || clearance === null || duration === null
      ? null
      : attempted(context, 'head_volume', 'Trapped ratio', () =>
          propagate(
            ([boreMm = 0, clearanceVolumeCc = 0, exhaustDurationDeg = 0]) =>
              trappedRatioFromDuration({ geometry, boreMm, clearanceVolumeCc, exhaustDurationDeg }).trappedRatio,
            [
              uncertainInput('bore', bore),
              uncertainInput('volume over the piston', clearance),
              uncertainInput('duration of the exhaust that shuts last', duration),
            ],
          ),
        );
  const enteredCase = whole.engine.kind === 'engine' ? whole.engine.data.crankcaseVolumeBdcCc : null;
  const caseVolume: Value | null = crankcase ?? asEntered('crankcase volume', enteredCase);
  const primary =
    geometry === null || bore === null || caseVolume === null
      ? null
      : attempted(context, 'head_volume', 'Crankcase ratio', () =>
          propagate(
            ([boreMm = 0, caseVolumeBdcCc = 0]) => crankcaseRatio({ sweptVolumeCc: swept(boreMm), caseVolumeBdcCc }),
            [uncertainInput('bore', bore), uncertainInput('crankcase volume at BDC', caseVolume)],
          ),
        );
  const common = { stepId: 'head_volume' as const, unit: '1' };
  return [
    checkRow(context, {
      ...common,
      key: 'full_stroke_ratio',
      title: 'Ratio, full stroke (geometric)',
      value: full,
      how: 'Swept plus volume over the piston, divided by the volume over the piston; swept by the travel.',
    }),
    checkRow(context, {
      ...common,
      key: 'trapped_ratio',
      title: 'Ratio, trapped (from exhaust closing)',
      value: trapped,
      how: 'As the full-stroke ratio, but counted from where the exhaust shuts.',
      source: 'Blair, Design and Simulation of Two-Stroke Engines, SAE R-161 (1996), chapter 1',
    }),
    checkRow(context, {
      ...common,
      key: 'crankcase_ratio',
      title: 'Ratio of the crankcase',
      value: primary,
      how: 'Crankcase volume at TDC divided by that at BDC.',
      remark: crankcase === null && enteredCase !== null ? "The crankcase volume is the engine's entry." : '',
    }),
  ];
}
