/** What a bare number typed for a port event may mean; more than one answer must be asked about, never guessed. */
import { type AngleMeaning, possibleMeanings } from '../crank/wheel-scale.ts';
import { borderSlack, type Deg } from '../units.ts';
import { type EventReference, type PortEdge, type PortKind, portKindTable } from './kinds.ts';

export interface QuotedMeaning {
  /** One choice; meanings that come to the same angle stand together in it. */
  readonly id: string;
  /** "before BDC, which is half a duration". */
  readonly title: string;
  /** The angle as the event is quoted: after TDC or before TDC. */
  readonly quotedDeg: Deg;
  /** True where a larger typed number is a smaller angle, so that lower and upper limit change places. */
  readonly isReversed: boolean;
}

const referenceTitles: Readonly<Record<EventReference, { readonly near: string; readonly far: string }>> = {
  atdc: { near: 'after TDC (ATDC)', far: 'before BDC (BBDC)' },
  btdc: { near: 'before TDC (BTDC)', far: 'after BDC (ABDC)' },
};

interface Reading {
  readonly meaning: 'near' | 'far' | 'half_duration' | 'duration';
  readonly quotedDeg: Deg;
  readonly isReversed: boolean;
}

const crownMeanings: Readonly<Record<AngleMeaning, Reading['meaning']>> = {
  atdc: 'near',
  bbdc: 'far',
  half_duration: 'half_duration',
  duration: 'duration',
};

/** The ways in which the trade quotes an event of this kind, each with the angle that the number would be. */
function readingsFor(kind: PortKind, typedDeg: Deg): readonly Reading[] {
  const { control } = portKindTable[kind];
  switch (control) {
    case 'crown':
      // Closing before TDC mirrors opening after TDC, so the same arithmetic holds for both edges.
      return possibleMeanings(typedDeg).map(({ meaning, openAtdcDeg }) => ({
        meaning: crownMeanings[meaning],
        quotedDeg: openAtdcDeg,
        isReversed: meaning !== 'atdc',
      }));
    case 'skirt':
      return [
        { meaning: 'near', quotedDeg: typedDeg, isReversed: false },
        { meaning: 'half_duration', quotedDeg: typedDeg, isReversed: false },
        { meaning: 'far', quotedDeg: 180 - typedDeg, isReversed: true },
        { meaning: 'duration', quotedDeg: typedDeg / 2, isReversed: false },
      ];
    case 'disc':
      // Asymmetric by design: a duration says nothing about one edge of it.
      return [
        { meaning: 'near', quotedDeg: typedDeg, isReversed: false },
        { meaning: 'far', quotedDeg: 180 - typedDeg, isReversed: true },
      ];
    case 'reed':
      return [];
  }
}

/**
 * Meanings of a number typed for an event.
 * @param typedDeg greater than 0 and less than 360
 * @returns the possible ones, those that come to the same angle as one; a single entry needs no question
 * @throws missing, out_of_range
 */
export function quotedMeanings(kind: PortKind, edge: PortEdge, typedDeg: Deg): readonly QuotedMeaning[] {
  const { quoted, legalDeg } = portKindTable[kind];
  if (quoted === null || legalDeg === null) return [];
  const titles = {
    ...referenceTitles[quoted[edge]],
    half_duration: 'half a duration',
    duration: 'a whole duration',
  };
  const groups: { meanings: Reading['meaning'][]; first: Reading }[] = [];
  for (const reading of readingsFor(kind, typedDeg)) {
    if (reading.quotedDeg <= legalDeg.lower || reading.quotedDeg >= legalDeg.upper) continue;
    const same = groups.find(
      ({ first }) =>
        Math.abs(first.quotedDeg - reading.quotedDeg) < borderSlack && first.isReversed === reading.isReversed,
    );
    if (same === undefined) groups.push({ meanings: [reading.meaning], first: reading });
    else same.meanings.push(reading.meaning);
  }
  return groups.map(({ meanings, first }) => ({
    id: meanings[0] as string,
    title: meanings.map((meaning) => titles[meaning]).join(', which is '),
    quotedDeg: first.quotedDeg,
    isReversed: first.isReversed,
  }));
}

/**
 * Meanings of a number typed for the duration of a port: the trade quotes one port by its duration, by half of it, or by
 * where it opens.
 * @param typedDeg greater than 0 and less than 360
 * @returns the possible ones with the duration that each comes to; a single entry needs no question
 */
export function durationMeanings(kind: PortKind, typedDeg: Deg): readonly QuotedMeaning[] {
  const { isSymmetric, quoted } = portKindTable[kind];
  if (quoted === null) return [];
  const whole = { id: 'duration', title: 'the whole duration', quotedDeg: typedDeg, isReversed: false };
  // A disc is asymmetric by design: one edge says nothing about its duration. From 180 on a number can be nothing else.
  if (!isSymmetric || typedDeg >= 180) return [whole];
  const { near, far } = referenceTitles[quoted.opens];
  // About BDC the half is counted from BDC, about TDC from TDC; the other reference is what is left of half a turn.
  const [half, rest] = portKindTable[kind].openAround === 'bdc' ? [far, near] : [near, far];
  return [
    whole,
    { id: 'half_duration', title: `half a duration, which is ${half}`, quotedDeg: 2 * typedDeg, isReversed: false },
    { id: 'opens', title: `its opening ${rest}`, quotedDeg: 2 * (180 - typedDeg), isReversed: true },
  ];
}

/**
 * Meanings of a number typed for the blowdown: the trade quotes it from opening to opening, or as the difference of the two
 * durations, which is twice that where both ports are symmetric.
 * @param typedDeg less than 360; 0 and less come to pass where transfers open first, and are asked about alike
 */
export function blowdownMeanings(typedDeg: Deg): readonly QuotedMeaning[] {
  return [
    {
      id: 'blowdown',
      title: 'from the opening of the exhaust to that of the transfers',
      quotedDeg: typedDeg,
      isReversed: false,
    },
    {
      id: 'duration_difference',
      title: 'the difference of the two durations, which is twice the blowdown',
      quotedDeg: typedDeg / 2,
      isReversed: false,
    },
  ];
}

/** Name of the reference in which an event is kept: "ATDC". */
export function quotedReference(kind: PortKind, edge: PortEdge): string {
  const { quoted } = portKindTable[kind];
  return quoted === null ? '' : quoted[edge].toUpperCase();
}
