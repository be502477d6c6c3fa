import { z } from 'zod';

/** One adjustable thing: its shape, its default and why it is the default. */
interface PreferenceEntry<T> {
  readonly group: 'units' | 'words' | 'look' | 'keys' | 'sound' | 'reading' | 'paper';
  readonly title: string;
  readonly schema: z.ZodType<T>;
  readonly initial: T;
  readonly reason: string;
  /** Unit shown beside a number. */
  readonly unit?: string;
  /** Titles of the values of a closed set. */
  readonly choices?: Readonly<Record<string, string>>;
  readonly lower?: number;
  readonly upper?: number;
}

function entry<T>(content: PreferenceEntry<T>): PreferenceEntry<T> {
  return content;
}

/** The name of a key as the browser gives it in `KeyboardEvent.code`, for instance `Space`. */
const keyCode = z.string().min(1).max(40);

/** All preferences. What is kept of the view stands here and nowhere else; measurements are never preferences. */
export const preferenceList = {
  lengthUnit: entry<'mm' | 'inch'>({
    group: 'units',
    title: 'Lengths',
    schema: z.enum(['mm', 'inch']),
    initial: 'mm',
    choices: { mm: 'Millimetres', inch: 'Inches' },
    reason:
      'Makers state stroke, rod and squish in millimetres. A field takes either unit as typed, whatever stands here.',
  }),
  decimalMark: entry<'point' | 'comma'>({
    group: 'units',
    title: 'Decimal mark',
    schema: z.enum(['point', 'comma']),
    initial: 'point',
    choices: { point: 'Point (0.87)', comma: 'Comma (0,87)' },
    reason: 'Only how numbers are shown. Both marks are understood when typed.',
  }),
  barrelWord: entry<'barrel' | 'cylinder'>({
    group: 'words',
    title: 'The part with the bore and the ports',
    schema: z.enum(['barrel', 'cylinder']),
    initial: 'barrel',
    choices: { barrel: 'Barrel', cylinder: 'Cylinder' },
    reason: 'British trade says barrel; "cylinder" then still means the place in the engine.',
  }),
  pinWord: entry<'gudgeon pin' | 'wrist pin'>({
    group: 'words',
    title: 'The pin of the piston',
    schema: z.enum(['gudgeon pin', 'wrist pin']),
    initial: 'gudgeon pin',
    choices: { 'gudgeon pin': 'Gudgeon pin', 'wrist pin': 'Wrist pin' },
    reason: 'British trade says gudgeon pin.',
  }),
  theme: entry<'by_place' | 'dark' | 'light'>({
    group: 'look',
    title: 'Light or dark',
    schema: z.enum(['by_place', 'dark', 'light']),
    initial: 'by_place',
    choices: { by_place: 'Dark at the bench, light at the desk', dark: 'Always dark', light: 'Always light' },
    reason: 'A bright screen glares into the bore while a port edge is sighted; print and daylight want dark on light.',
  }),
  motion: entry<'on' | 'off'>({
    group: 'look',
    title: 'Movement',
    schema: z.enum(['on', 'off']),
    initial: 'on',
    choices: { on: 'Show changes by movement', off: 'No movement' },
    reason: 'Movement only shows what changed; without it the change is still written.',
  }),
  stampKey: entry<string>({
    group: 'keys',
    title: 'Port edge seen',
    schema: keyCode,
    initial: 'Space',
    reason: 'The largest key, found with a gloved hand without looking; USB foot switches often send it.',
  }),
  undoKey: entry<string>({
    group: 'keys',
    title: 'Take the last stamp back',
    schema: keyCode,
    initial: 'Backspace',
    reason: 'Far enough from the stamp key not to be hit by mistake.',
  }),
  footSwitchKey: entry<string>({
    group: 'keys',
    title: 'Foot switch',
    schema: keyCode,
    initial: 'Enter',
    reason: 'Pedals present themselves as keyboards; learn another key by pressing it.',
  }),
  doublePressSeconds: entry<number>({
    group: 'keys',
    title: 'Double press takes back within',
    schema: z.number().min(0.2).max(1.5),
    initial: 0.5,
    unit: 's',
    lower: 0.2,
    upper: 1.5,
    reason: 'Our choice [T]: short enough that two wanted stamps are never this close.',
  }),
  debounceMilliseconds: entry<number>({
    group: 'keys',
    title: 'Contacts count as one press within',
    schema: z.number().min(0).max(200),
    initial: 30,
    unit: 'ms',
    lower: 0,
    upper: 200,
    reason: 'Our choice [T]: mechanical contacts bounce for some milliseconds.',
  }),
  operatorDelaySeconds: entry<number>({
    group: 'keys',
    title: 'From seeing the edge to pressing',
    schema: z.number().min(0).max(2),
    initial: 0,
    unit: 's',
    lower: 0,
    upper: 2,
    reason: 'Our choice [T]: the crank stands still when the edge is seen, so nothing is taken off.',
  }),
  steadyHold: entry<boolean>({
    group: 'keys',
    title: 'Stamp by holding the crank still',
    schema: z.boolean(),
    initial: false,
    reason: 'Off until wanted: a stamp that nobody asked for must not surprise.',
  }),
  steadyHoldSeconds: entry<number>({
    group: 'keys',
    title: 'Still for',
    schema: z.number().min(0.5).max(10),
    initial: 1.5,
    unit: 's',
    lower: 0.5,
    upper: 10,
    reason: 'Our choice [T]: longer than a change of grip, short enough not to wait for.',
  }),
  steadyHoldDeg: entry<number>({
    group: 'keys',
    title: 'Still means within',
    schema: z.number().min(0.02).max(1),
    initial: 0.1,
    unit: 'deg',
    lower: 0.02,
    upper: 1,
    reason: "Our choice [T]: several times the reader's own scatter, a fraction of a placement.",
  }),
  knock: entry<boolean>({
    group: 'keys',
    title: 'Stamp by a knock that the microphone hears',
    schema: z.boolean(),
    initial: false,
    reason: 'Off until wanted: a shop is full of knocks.',
  }),
  knockLevel: entry<number>({
    group: 'keys',
    title: 'Level of a knock',
    schema: z.number().min(0.01).max(1),
    initial: 0.35,
    lower: 0.01,
    upper: 1,
    reason: 'Learned by knocking; this is only where it starts.',
  }),
  gameControllerButton: entry<number>({
    group: 'keys',
    title: 'Button of a game controller',
    schema: z.number().int().min(0).max(31),
    initial: 0,
    lower: 0,
    upper: 31,
    reason: 'The first button of a standard layout; learn another by pressing it.',
  }),
  tones: entry<boolean>({
    group: 'sound',
    title: 'Tones',
    schema: z.boolean(),
    initial: true,
    reason: 'Eyes are on the port: a tone says that the stamp was taken.',
  }),
  stateTones: entry<boolean>({
    group: 'sound',
    title: 'Tones when the reading changes: steady, turning, can’t read, re-check TDC',
    schema: z.boolean(),
    initial: true,
    reason: 'Quiet, and only once a state has lasted: a hand that covers the wheel is heard before the next press.',
  }),
  voice: entry<boolean>({
    group: 'sound',
    title: 'Read angles and the next step aloud',
    schema: z.boolean(),
    initial: false,
    reason: 'Off until wanted: not every system has a voice, not every shop wants one.',
  }),
  voiceRate: entry<number>({
    group: 'sound',
    title: 'Speed of the voice',
    schema: z.number().min(0.5).max(2),
    initial: 1,
    lower: 0.5,
    upper: 2,
    reason: "The voice's own speed.",
  }),
  placementDeg: entry<number>({
    group: 'reading',
    title: 'Placement scatter before repeats exist',
    schema: z.number().min(0.01).max(5),
    initial: 0.25,
    unit: 'deg',
    lower: 0.01,
    upper: 5,
    reason:
      'Our choice [T]: how well the same edge is found again; counts as prior until the repeats of the session give three degrees of freedom.',
  }),
  slackDeg: entry<number>({
    group: 'reading',
    title: 'Slack before both directions were read',
    schema: z.number().min(0).max(10),
    initial: 0.5,
    unit: 'deg',
    lower: 0,
    upper: 10,
    reason:
      'Our choice [T]: usual difference between the directions; replaced by the median of the session as soon as there is one.',
  }),
  paperSize: entry<'A4' | 'Letter'>({
    group: 'paper',
    title: 'Paper',
    schema: z.enum(['A4', 'Letter']),
    initial: 'A4',
    choices: { A4: 'A4', Letter: 'Letter' },
    reason: 'A4 is the ISO size; Letter where paper comes in that.',
  }),
} as const;

export type PreferenceKey = keyof typeof preferenceList;
export type Preferences = { readonly [K in PreferenceKey]: (typeof preferenceList)[K]['initial'] };
export type AnyPreference = PreferenceEntry<unknown>;

export const preferenceKeys = Object.keys(preferenceList) as PreferenceKey[];

/** All defaults. */
export const initialPreferences: Preferences = Object.fromEntries(
  preferenceKeys.map((key) => [key, preferenceList[key].initial]),
) as unknown as Preferences;
