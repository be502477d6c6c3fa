/** What a camera lets us hold still while a set-up lasts. */
export type LockKind = 'exposure' | 'focus' | 'white_balance';

export type LockState = 'locked' | 'free' | 'not_offered';

export type Locks = Readonly<Record<LockKind, LockState>>;

/** Modes as Media Capture's image extensions name them; TypeScript's library doesn't know them yet. */
type Modes = Readonly<Record<ModeName, string | undefined>>;
type ModeName = 'exposureMode' | 'focusMode' | 'whiteBalanceMode';

const modeNames: Readonly<Record<LockKind, ModeName>> = {
  exposure: 'exposureMode',
  focus: 'focusMode',
  white_balance: 'whiteBalanceMode',
};

export const lockKinds = ['exposure', 'focus', 'white_balance'] as const satisfies readonly LockKind[];

export type ControlledTrack = Pick<MediaStreamTrack, 'getSettings' | 'applyConstraints'> & {
  getCapabilities?: () => MediaTrackCapabilities;
};

function offered(track: ControlledTrack, kind: LockKind): readonly string[] {
  const capabilities = (track.getCapabilities?.() ?? {}) as Readonly<Record<string, unknown>>;
  const modes = capabilities[modeNames[kind]];
  return Array.isArray(modes) ? modes.filter((mode): mode is string => typeof mode === 'string') : [];
}

/** What is locked, what could be, and what this camera doesn't offer. */
export function readLocks(track: ControlledTrack): Locks {
  const settings = track.getSettings() as Partial<Modes>;
  const state = (kind: LockKind): LockState => {
    if (!offered(track, kind).includes('manual')) return 'not_offered';
    return settings[modeNames[kind]] === 'manual' ? 'locked' : 'free';
  };
  return { exposure: state('exposure'), focus: state('focus'), white_balance: state('white_balance') };
}

/**
 * Locks or frees each offered control on its own, so that one that the camera refuses doesn't keep the others from locking.
 * @returns what the track gives afterwards, not what was asked
 */
export async function setLocks(track: ControlledTrack, wanted: 'locked' | 'free'): Promise<Locks> {
  for (const kind of lockKinds) {
    const modes = offered(track, kind);
    const mode = wanted === 'locked' ? 'manual' : 'continuous';
    if (!modes.includes(mode)) continue;
    try {
      // Kept at the present value: without a value a camera holds what it has just measured.
      await track.applyConstraints({ advanced: [{ [modeNames[kind]]: mode } as MediaTrackConstraintSet] });
    } catch {
      // Refused by this camera: readLocks below says so to the operator.
    }
  }
  return readLocks(track);
}

/** One sentence for the operator about what stays free. */
export function locksSentence(locks: Locks): string {
  const words: Record<LockKind, string> = { exposure: 'exposure', focus: 'focus', white_balance: 'white balance' };
  const missing = lockKinds.filter((kind) => locks[kind] === 'not_offered').map((kind) => words[kind]);
  const free = lockKinds.filter((kind) => locks[kind] === 'free').map((kind) => words[kind]);
  if (missing.length === lockKinds.length) {
    return 'This camera lets neither exposure, focus nor white balance be locked: keep the light as it is and don’t let anything pass close to the lens.';
  }
  const parts = [];
  if (free.length > 0) parts.push(`Not locked: ${free.join(', ')}.`);
  if (missing.length > 0) parts.push(`Not offered by this camera: ${missing.join(', ')}.`);
  return parts.length === 0 ? 'Exposure, focus and white balance are locked.' : parts.join(' ');
}

/** What may be asked of a camera; what it really gives is read from the track afterwards. */
export interface PictureMode {
  readonly widthPx: number;
  readonly heightPx: number;
}

const usualModes: readonly PictureMode[] = [
  { widthPx: 640, heightPx: 480 },
  { widthPx: 800, heightPx: 600 },
  { widthPx: 1280, heightPx: 720 },
  { widthPx: 1280, heightPx: 960 },
  { widthPx: 1600, heightPx: 1200 },
  { widthPx: 1920, heightPx: 1080 },
];
const usualRates: readonly number[] = [15, 30, 60];

/** Sizes and frame rates within what the camera says of itself; all usual ones where it says nothing. */
export function offeredModes(track: ControlledTrack): {
  readonly modes: readonly PictureMode[];
  readonly framesPerS: readonly number[];
} {
  const capabilities = track.getCapabilities?.() ?? {};
  const within = (value: number, range: { readonly max?: number } | undefined): boolean =>
    value <= (range?.max ?? Infinity) + 0.5;
  const modes = usualModes.filter(
    (mode) => within(mode.widthPx, capabilities.width) && within(mode.heightPx, capabilities.height),
  );
  return { modes, framesPerS: usualRates.filter((rate) => within(rate, capabilities.frameRate)) };
}
