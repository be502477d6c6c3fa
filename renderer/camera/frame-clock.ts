/** Gives the frames of a track as a stream that can be handed to a worker; TypeScript's DOM library lacks it. */
interface TrackProcessor {
  readonly readable: ReadableStream<VideoFrame>;
}
type TrackProcessorMaker = new (init: { track: MediaStreamTrack; maxBufferSize?: number }) => TrackProcessor;

/**
 * Frames of a track as a transferable stream, or null where the browser can't.
 */
export function trackFrames(track: MediaStreamTrack): ReadableStream<VideoFrame> | null {
  const maker = (globalThis as { MediaStreamTrackProcessor?: TrackProcessorMaker }).MediaStreamTrackProcessor;
  if (maker === undefined) return null;
  // Two frames wait at most: one that takes longer to read costs none, and the newest is never more than two behind.
  return new maker({ track, maxBufferSize: 2 }).readable;
}

export interface VideoFrames {
  stop(): void;
  /** The receiver has finished with the frame sent last. */
  taken(): void;
}

/**
 * Frames of a video element, for recordings and for browsers without track processors. One frame is in flight at a time;
 * those that come meanwhile are left out. While the recording stands still its picture is sent again, so that a held
 * picture counts as a steady wheel.
 * @param send receives the frame (to be closed by the receiver) and its time in ms of the page's clock since the epoch
 */
export function videoFrames(
  video: HTMLVideoElement,
  send: (frame: VideoFrame, capturedAtMs: number) => void,
): VideoFrames {
  let isInFlight = false;
  let isStopped = false;
  let handle = 0;

  function offer(capturedAtMs: number): void {
    if (isInFlight || isStopped || video.readyState < HTMLMediaElement.HAVE_CURRENT_DATA) return;
    isInFlight = true;
    const frame = new VideoFrame(video, { timestamp: Math.round(capturedAtMs * 1000) });
    send(frame, capturedAtMs);
  }
  function next(): void {
    handle = video.requestVideoFrameCallback((nowMs, metadata) => {
      // Cameras give a capture time; a recording's frame counts as seen when it is presented.
      offer(performance.timeOrigin + (metadata.captureTime ?? Math.min(nowMs, metadata.presentationTime)));
      if (!isStopped) next();
    });
  }
  next();
  const still = setInterval(() => {
    if (video.paused || video.ended) offer(performance.timeOrigin + performance.now());
  }, heldPictureIntervalMs);

  return {
    stop() {
      isStopped = true;
      clearInterval(still);
      video.cancelVideoFrameCallback(handle);
    },
    taken() {
      isInFlight = false;
    },
  };
}

const heldPictureIntervalMs = 66;
