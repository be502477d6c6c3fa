/**
 * What may be wrong where readings disagree: what each possible cause would leave in them, which of the causes these
 * readings bear out, and the check that decides. Nothing here changes a reading.
 */
import type { Port } from '../contract/parts.ts';
import { tdcDriftLimitDeg } from '../crank/dead-centre.ts';
import type { CrankGeometry } from '../crank/geometry.ts';
import { type ShiftFit, searchShift } from '../uncertainty/shift-search.ts';
import { borderSlack, type Deg } from '../units.ts';
import type { PlacedRead } from './frame-readings.ts';
import { wantedSentence } from './run-order.ts';
import { type ShiftModel, shiftModel, tdcKey } from './shift-model.ts';
import type { FoundFrame } from './wheel-frames.ts';

export type CauseKind = 'wheel_slipped' | 'pointer_moved' | 'camera_moved' | 'tdc_off' | 'reading_apart' | 'slack';

/** What the readings say of a cause: they bear it out and no other, it and others alike, or something else instead. */
export type Standing = 'likely' | 'possible' | 'against';

export interface PossibleCause {
  readonly kind: CauseKind;
  readonly title: string;
  readonly standing: Standing;
  /** What in the readings speaks for or against it. */
  readonly evidence: string;
  /** What to look at or read again, what it will show, and what to do then. */
  readonly check: string;
  /** Where a check of TDC would now come out against the TDC in use, were this the cause. */
  readonly recheckOffDeg: Deg;
}

export interface Disagreement {
  readonly headline: string;
  /** The likely one or the possible ones first. */
  readonly causes: readonly PossibleCause[];
}

/** Odds of 20 to 1 against no shift at all: less is left to slack and placement. */
const enoughLogOdds = Math.log(20);
/** Causes whose odds are within 7 to 1 of each other are not told apart. */
const alikeLogOdds = Math.log(7);

/**
 * Searches the readings of a frame for what makes them disagree; to be asked only where they do.
 * @returns null while TDC isn't found
 */
export function disagreementOf(
  frame: FoundFrame,
  ports: readonly Port[],
  geometry: CrankGeometry | null,
): Disagreement | null {
  const model = shiftModel(frame, geometry);
  if (model === null) return null;
  const { fits, leftDeg } = searchShift(
    model.rows,
    model.hypotheses,
    frame.session.defaults.placementPriorDegreesOfFreedom,
  );
  const best = fits[0]?.logOdds ?? 0;
  const isExplained = best >= enoughLogOdds;
  const found = { model, ports, fits, best, isExplained, leftDeg, frame };
  const causes = ranked([...movedCauses(found), tdcCause(found), apartCause(found), slackCause(found)]);
  return { headline: headlineOf(causes, isExplained), causes };
}

interface Found {
  readonly model: ShiftModel;
  readonly ports: readonly Port[];
  readonly fits: readonly ShiftFit[];
  readonly best: number;
  readonly isExplained: boolean;
  readonly leftDeg: Deg | null;
  readonly frame: FoundFrame;
}

type Judgement = PossibleCause & { readonly logOdds: number };

/** Whether a fit is as good as the best one; only among those that explain something. */
function isAlike({ fits, best, isExplained }: Found, fit: ShiftFit | undefined): boolean {
  if (!isExplained || fit === undefined || fit.sizeDeg === null) return false;
  // The same readings shifted: however many other places were tried, no reading can tell the two apart.
  const isSame = Math.abs(fit.rawLogOdds - (fits[0]?.rawLogOdds ?? 0)) < borderSlack;
  return isSame || fit.logOdds >= best - alikeLogOdds;
}

function ranked(judged: readonly Judgement[]): PossibleCause[] {
  const possible = judged.filter(({ standing }) => standing === 'possible');
  return judged
    .toSorted((a, b) => Number(a.standing === 'against') - Number(b.standing === 'against') || b.logOdds - a.logOdds)
    .map(({ logOdds: _odds, ...cause }) =>
      cause.standing === 'possible' && possible.length === 1 ? { ...cause, standing: 'likely' } : cause,
    );
}

function headlineOf(causes: readonly PossibleCause[], isExplained: boolean): string {
  const open = causes.filter(({ standing }) => standing !== 'against');
  const [first] = open;
  if (!isExplained || first === undefined) {
    return 'Can’t be told from these readings: no single cause explains them better than slack and placement do. Check TDC again, then read the edges in question again in both directions.';
  }
  if (open.length === 1) return `Most likely: ${lower(first.title)}.`;
  const rechecks = open.map(({ recheckOffDeg }) => recheckOffDeg);
  const areAlike = Math.max(...rechecks) - Math.min(...rechecks) < tdcDriftLimitDeg;
  const how = areAlike
    ? 'A check of TDC comes out alike for all of them, so look for marks that no longer meet; either way the stop has to be taken anew.'
    : 'A check of TDC comes out differently for each.';
  return `Can’t be told apart from these readings: ${open.map(({ title }) => lower(title)).join('; or ')}. ${how}`;
}

const lower = (title: string): string =>
  title.startsWith('TDC') ? title : title.charAt(0).toLowerCase() + title.slice(1);
const deg = (value: Deg): string => `${Math.abs(value).toFixed(1)} deg`;
const higher = (value: Deg): string => (value > 0 ? 'higher' : 'lower');

/** The name of a reading as the bench calls it. */
function nameOf(read: PlacedRead | undefined, ports: readonly Port[]): string {
  const subject = read?.stamp.current.subject;
  if (subject === undefined || subject.what === 'quantity') return 'the last reading';
  return subject.what === 'tdc_check' ? `check of TDC, turning ${subject.turning}` : wantedSentence(subject, ports);
}

/** "once that is taken out, 0.2 deg is left between them". */
function leftSentence(fit: ShiftFit | undefined): string {
  return fit?.leftDeg == null ? '' : ` With that taken out they agree within ${fit.leftDeg.toFixed(2)} deg.`;
}

function againstSentence({ best, isExplained }: Found, fit: ShiftFit | undefined, what: string): string {
  if (fit === undefined || fit.sizeDeg === null) return `These readings say nothing about ${what}.`;
  return isExplained
    ? `Taking ${what} out leaves ${fit.leftDeg === null ? 'more' : `${fit.leftDeg.toFixed(2)} deg`} between the readings; other causes leave less${best - fit.logOdds > enoughLogOdds ? ' by far' : ''}.`
    : `Taking ${what} out explains little: placement alone does nearly as well.`;
}

/** A check of TDC that was already made after the slip, as far as it says something. */
function checkSentence({ frame }: Found, sizeDeg: Deg): string {
  const last = frame.checks.at(-1);
  if (last === undefined) {
    return `Check TDC with the stop, both sides: about ${deg(sizeDeg)} off bears it out, near 0 speaks against it.`;
  }
  return last.hasMoved
    ? `The check of TDC came out ${deg(last.driftDeg.value)} off, which bears it out.`
    : `The last check of TDC came out only ${deg(last.driftDeg.value)} off: check once more.`;
}

const afterMove =
  'Then tighten what is loose, press "Wheel moved", and begin again at the stop; what was read is kept.';

/** A step in time: everything after it is shifted by one amount. */
function movedCauses(found: Found): Judgement[] {
  const { fits, model, ports } = found;
  const slips = fits.filter(({ key }) => key.startsWith('slip:'));
  const [fit] = slips;
  const alike = slips.filter((one) => isAlike(found, one)).map(({ key }) => Number(key.slice('slip:'.length)));
  const isPossible = isAlike(found, fit);
  const size = fit?.sizeDeg ?? 0;
  const from = Math.min(...alike);
  const until = Math.max(...alike) + 1;
  const evidence = isPossible
    ? `From somewhere between "${nameOf(model.reads[from], ports)}" and "${nameOf(model.reads[until], ports)}" on, readings lie ${deg(size)} ${higher(size)} than the earlier ones make them.${leftSentence(fit)}`
    : againstSentence(found, fit, 'a step from one reading to the next');
  const standing = isPossible ? ('possible' as const) : ('against' as const);
  const common = { standing, evidence, logOdds: fit?.logOdds ?? 0, recheckOffDeg: size };
  const slipped: Judgement = {
    ...common,
    kind: 'wheel_slipped',
    title: 'The wheel slipped on the crank',
    check: `${checkSentence(found, size)} A pencil line across wheel and crank end, drawn beforehand, shows it too. ${afterMove}`,
  };
  const isTyped = model.reads.some(({ reader }) => reader === 'typed');
  if (isTyped) {
    return [
      slipped,
      {
        ...common,
        kind: 'pointer_moved',
        title: 'The pointer was moved',
        check: `It leaves the same in the readings as a slipped wheel, the check of TDC included: look whether the pointer sits tight and the line across wheel and crank end still meets. ${afterMove}`,
      },
    ];
  }
  const setups = new Set(model.reads.slice(from, until + 1).map(({ setupId }) => setupId));
  const isCarriedOn = isPossible && setups.size > 1;
  return [
    slipped,
    {
      ...common,
      kind: 'camera_moved',
      title: 'The camera was moved and counted on wrongly',
      standing: isCarriedOn ? 'possible' : 'against',
      evidence: isCarriedOn
        ? `${evidence} The camera was set up anew in between, counting on from the set-up before.`
        : 'The camera was not set up anew between readings that disagree, and the reader refuses a picture whose camera has moved.',
      check: `${checkSentence(found, size)} Then press "Wheel moved" and begin again at the stop, with the camera clamped; what was read is kept.`,
    },
  ];
}

/** Both directions of every edge lie off by the same amount; opening and closing no longer mirror about TDC. */
function tdcCause(found: Found): Judgement {
  const fit = found.fits.find(({ key }) => key === tdcKey);
  const size = fit?.sizeDeg ?? 0;
  const isPossible = isAlike(found, fit);
  return {
    kind: 'tdc_off',
    title: 'TDC of the stop is off',
    standing: isPossible ? 'possible' : 'against',
    evidence: isPossible
      ? `Openings and closings mirror about a place ${deg(size)} ${higher(size)} than TDC of the stop, in both directions alike.${leftSentence(fit)}`
      : `${againstSentence(found, fit, 'an error of TDC')} A wrong TDC shifts both directions of an edge alike, so by itself it makes no difference between them.`,
    check: `Take the stop again from both sides, gently and without leaning on it, as a check of TDC: ${
      isPossible ? `about ${deg(size)} off bears it out` : 'near 0 off, and it was right'
    }. Then strike the contacts that were off and stamp the stop anew.`,
    recheckOffDeg: size,
    logOdds: fit?.logOdds ?? 0,
  };
}

/** One reading, or one edge, lies apart from where all the others put it. */
function apartCause(found: Found): Judgement {
  const { fits, model, ports } = found;
  const [fit] = fits.filter(({ key }) => /^(stamp|way|edge|check):/.test(key));
  const size = fit?.sizeDeg ?? 0;
  const isPossible = isAlike(found, fit);
  const { name, again } = apartWords(found, fit?.key ?? '');
  const base = { kind: 'reading_apart' as const, title: 'One reading is misplaced', recheckOffDeg: 0 };
  if (!isPossible) {
    return {
      ...base,
      standing: 'against',
      evidence: againstSentence(found, fit, 'the reading that lies furthest off'),
      check: `Read ${again} once more, coming on in one movement: a repeat that agrees with it clears it.`,
      logOdds: fit?.logOdds ?? 0,
    };
  }
  const others = fits
    .filter((one) => one !== fit && one.key.startsWith('stamp:') && isAlike(found, one))
    .map(({ key }) => `"${nameOf(model.reads[Number(key.slice('stamp:'.length))], ports)}"`);
  const alone = others.length === 0 ? '' : ` ${others.join(' or ')} could as well be the one.`;
  return {
    ...base,
    standing: 'possible',
    evidence: `${name} lies ${deg(size)} ${higher(size)} than all the others make it.${leftSentence(fit)}${alone}`,
    check: `Read ${again} once more, coming on in one movement from well away. If the repeat falls in with the others, strike the odd one; if it comes out as before, look for a step in time. A check of TDC comes out near 0.`,
    logOdds: fit?.logOdds ?? 0,
  };
}

function apartWords({ model, ports, frame }: Found, key: string): { readonly name: string; readonly again: string } {
  const [kind, ...rest] = key.split(':');
  if (kind === 'stamp') {
    const name = `"${nameOf(model.reads[Number(rest[0])], ports)}"`;
    return { name, again: name };
  }
  if (kind === 'check') return { name: 'The check of TDC', again: 'the check of TDC, both sides,' };
  const edgeKey = kind === 'way' ? rest.slice(0, -1).join(':') : rest.join(':');
  const edge = frame.edges.get(edgeKey);
  const read = edge?.forwards[0] ?? edge?.backwards[0];
  const title = nameOf(read, ports).replace(/, turning (forwards|backwards)$/, '');
  return kind === 'way'
    ? { name: `"${title}, turning ${rest.at(-1) ?? ''}", in all its repeats,`, again: `"${title}"` }
    : { name: `"${title}", in both directions,`, again: `"${title}" in both directions` };
}

/** What is left once no shift is supposed: the directions differ alike at every edge. */
function slackCause(found: Found): Judgement {
  const { isExplained, leftDeg, frame } = found;
  const slack = frame.session.slackDeg;
  const slackText =
    slack === null ? 'no edge was read in both directions' : `the median of the differences is ${deg(slack)}`;
  return {
    kind: 'slack',
    title: 'Slack and placement alone',
    standing: isExplained ? 'against' : 'possible',
    evidence: `Slack moves every edge by the same amount between the directions: ${slackText}, and ${
      leftDeg === null
        ? 'too few readings are left to tell more'
        : `${leftDeg.toFixed(2)} deg is left between the readings with that taken out`
    }.`,
    check:
      'Let the last movement always go on in the direction of the reading, from well away: a touch back shows the slack the other way round. Repeats of the same edge that scatter as much say that it is placement. A check of TDC comes out near 0.',
    recheckOffDeg: 0,
    logOdds: 0,
  };
}
