import type { KnockMessage } from './knock-worklet.ts';
import workletAddress from './knock-worklet.ts?worker&url';

export type MicrophoneState =
  | { readonly kind: 'off' }
  | { readonly kind: 'asking' }
  | { readonly kind: 'listening'; readonly label: string }
  | { readonly kind: 'refused' }
  | { readonly kind: 'none' }
  | { readonly kind: 'ended' }
  | { readonly kind: 'failed'; readonly detail: string };

/** Sentence for the screen; empty while all is well. */
export function microphoneSentence(state: MicrophoneState): string {
  switch (state.kind) {
    case 'off':
      return '';
    case 'asking':
      return 'Microphone: waiting for your permission.';
    case 'listening':
      return `Listening for knocks: ${state.label}.`;
    case 'refused':
      return 'The microphone was refused, so knocks do nothing. Allow it for this page; every other signal works on.';
    case 'none':
      return 'No microphone is connected, so knocks do nothing. Plug one in; every other signal works on.';
    case 'ended':
      return 'The microphone is gone, so knocks do nothing. Plug it in again and open the bench again.';
    case 'failed':
      return `The microphone can’t be used: ${state.detail}. Every other signal works on.`;
  }
}

export interface KnockListener {
  state(state: MicrophoneState): void;
  /** @param atMs when the knock began, milliseconds since the epoch on the performance clock */
  knock(atMs: number, level: number): void;
}

/** Speech filters would take a knock for noise and remove it. */
const rawSound = { echoCancellation: false, noiseSuppression: false, autoGainControl: false };

/** Listens for knocks until it is ended. @param leastLevel softer ones don't count @returns ends it */
export function listenForKnocks(
  media: Pick<MediaDevices, 'getUserMedia'> | null,
  leastLevel: number,
  listener: KnockListener,
): () => void {
  let isEnded = false;
  let stream: MediaStream | null = null;
  let context: AudioContext | null = null;
  const release = (): void => {
    for (const track of stream?.getTracks() ?? []) track.stop();
    void context?.close().catch(() => undefined);
    stream = null;
    context = null;
  };

  async function open(door: Pick<MediaDevices, 'getUserMedia'>): Promise<void> {
    listener.state({ kind: 'asking' });
    stream = await door.getUserMedia({ audio: rawSound, video: false });
    if (isEnded) return release();
    context = new AudioContext();
    await context.audioWorklet.addModule(workletAddress);
    await context.resume();
    if (isEnded) return release();
    const node = new AudioWorkletNode(context, 'knock', { numberOfOutputs: 0, processorOptions: { leastLevel } });
    node.port.onmessage = ({ data }: MessageEvent<KnockMessage>) => {
      if (!isEnded) listener.knock(performance.timeOrigin + performance.now() - data.agoMs, data.level);
    };
    context.createMediaStreamSource(stream).connect(node);
    const track = stream.getAudioTracks()[0];
    track?.addEventListener('ended', () => {
      if (!isEnded) listener.state({ kind: 'ended' });
    });
    listener.state({
      kind: 'listening',
      label: track === undefined || track.label === '' ? 'microphone' : track.label,
    });
  }

  if (media === null) listener.state({ kind: 'none' });
  else {
    open(media).catch((error: unknown) => {
      release();
      if (!isEnded) listener.state(stateOf(error));
    });
  }
  return () => {
    isEnded = true;
    release();
  };
}

function stateOf(error: unknown): MicrophoneState {
  const name = error instanceof DOMException ? error.name : '';
  if (name === 'NotAllowedError' || name === 'SecurityError') return { kind: 'refused' };
  if (name === 'NotFoundError' || name === 'OverconstrainedError') return { kind: 'none' };
  return { kind: 'failed', detail: error instanceof Error ? error.message : String(error) };
}
