import type { CameraState } from './camera-states.ts';

/** A recording that plays in place of the camera. */
export interface Recording {
  readonly state: CameraState;
  readonly url: string;
  dispose(): void;
}

/**
 * Loads a recording into a video element and starts it, muted and looping.
 * @param bytes the file, or the demo recording fetched from the program itself
 */
export async function playRecording(
  video: HTMLVideoElement,
  bytes: Blob,
  label: string,
  from: 'recording' | 'demo',
): Promise<Recording> {
  // An object URL can be wound back; a response without ranges can't.
  const url = URL.createObjectURL(bytes);
  const dispose = (): void => {
    video.pause();
    video.removeAttribute('src');
    video.load();
    URL.revokeObjectURL(url);
  };
  video.srcObject = null;
  video.src = url;
  video.loop = true;
  video.muted = true;
  try {
    await new Promise<void>((resolve, reject) => {
      video.addEventListener('loadeddata', () => resolve(), { once: true });
      video.addEventListener('error', () => reject(new Error(video.error?.message ?? 'unknown format')), {
        once: true,
      });
    });
    if (video.videoWidth === 0) throw new Error('it holds no picture');
    await video.play();
  } catch {
    dispose();
    return { state: { kind: 'recording_unreadable', label }, url, dispose: () => undefined };
  }
  return {
    state: {
      kind: 'running',
      source: {
        from,
        label,
        deviceId: '',
        widthPx: video.videoWidth,
        heightPx: video.videoHeight,
        framesPerS: null,
      },
    },
    url,
    dispose,
  };
}
