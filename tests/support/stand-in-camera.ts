import type { BrowserContext, Page } from 'playwright-core';

/** A camera that was knocked shows the same scene turned, larger or smaller, and shifted. */
export interface CameraKnock {
  /** Clockwise as seen. */
  readonly rollDeg: number;
  readonly zoom: number;
  readonly shiftPx: readonly [number, number];
}

/** What the stand-in for `navigator.mediaDevices` does; its cameras show a picture drawn on a canvas. */
export interface StandInControl {
  /** Cameras that are plugged in. */
  labels: string[];
  /** Name and message of the error that opening throws, or null. */
  refusal: readonly [name: string, message: string] | null;
  /** Address of the picture that the cameras show. */
  picture: string;
  /** Address of the picture that was drawn last: another one has to be loaded first. */
  drawn: string;
  /** What a knock did to the picture, about its middle; null while the camera stands as it was put up. */
  knock: CameraKnock | null;
  /** Pictures to show next, one at each drawing, loaded already: what moves doesn't stand still in between. */
  coming: { readonly address: string; readonly image: ImageBitmap }[];
  /** The camera is there and sends no pictures. */
  sendsNothing: boolean;
  asked: MediaTrackConstraints[];
  applied: MediaTrackConstraints[];
  pullOut(): void;
  plugIn(label: string): void;
  fallAsleep(): void;
}

/**
 * Puts a stand-in for the media devices into every page that is opened from now on: cameras that can be plugged in, pulled
 * out, refused and taken, with controls that can be locked. The pictures are real frames of a canvas stream.
 * @param picture address of the picture that is shown first
 */
export async function standInCameras(
  browser: BrowserContext,
  picture: string,
  labels: readonly string[],
): Promise<void> {
  await browser.addInitScript(
    ({ picture, labels }) => {
      const media = new EventTarget() as EventTarget & Record<string, unknown>;
      let current: MediaStreamTrack | null = null;
      const control = {
        labels: [...labels],
        refusal: null as readonly [string, string] | null,
        picture,
        drawn: '',
        knock: null as CameraKnock | null,
        coming: [] as { address: string; image: ImageBitmap }[],
        sendsNothing: false as boolean,
        asked: [] as MediaTrackConstraints[],
        applied: [] as MediaTrackConstraints[],
        pullOut() {
          control.labels = [];
          current?.stop();
          current?.dispatchEvent(new Event('ended'));
          media.dispatchEvent(new Event('devicechange'));
        },
        plugIn(label: string) {
          control.labels = [...control.labels, label];
          media.dispatchEvent(new Event('devicechange'));
        },
        fallAsleep() {
          current?.dispatchEvent(new Event('mute'));
        },
      };
      (window as unknown as { standInCameras: unknown }).standInCameras = control;
      const exactId = (constraint: ConstrainDOMString | undefined): string | undefined =>
        typeof constraint === 'object' && !Array.isArray(constraint) ? String(constraint.exact) : undefined;
      const ideal = (constraint: ConstrainULong | undefined, otherwise: number): number =>
        typeof constraint === 'object' ? (constraint.ideal ?? otherwise) : otherwise;
      media['enumerateDevices'] = async () =>
        control.labels.map((label) => ({ kind: 'videoinput', deviceId: `id of ${label}`, label, groupId: '' }));
      media['getUserMedia'] = async (wish: MediaStreamConstraints) => {
        const video = typeof wish.video === 'object' ? wish.video : {};
        control.asked.push(video);
        if (control.refusal !== null) throw new DOMException(control.refusal[1], control.refusal[0]);
        const id = exactId(video.deviceId);
        const label = control.labels.find((one) => id === undefined || `id of ${one}` === id);
        if (label === undefined) throw new DOMException('Requested device not found', 'NotFoundError');
        let image: ImageBitmap | null = null;
        let shown = '';
        let loaded = '';
        const canvas = document.createElement('canvas');
        canvas.width = ideal(video.width as ConstrainULong, 1280);
        canvas.height = ideal(video.height as ConstrainULong, 720);
        const context = canvas.getContext('2d');
        // The picture before stays until the next one is there: a camera never shows a half-loaded one.
        const load = async (address: string): Promise<void> => {
          shown = address;
          const next = await createImageBitmap(await (await fetch(address)).blob());
          if (shown !== address) return;
          image = next;
          loaded = address;
        };
        await load(control.picture);
        const draw = (): void => {
          if (control.sendsNothing) return;
          const next = control.coming.shift();
          if (next !== undefined) {
            image = next.image;
            shown = loaded = control.picture = next.address;
          } else if (shown !== control.picture) void load(control.picture);
          if (image === null || context === null) return;
          const { width, height } = canvas;
          const scale = Math.min(width / image.width, height / image.height);
          const { rollDeg, zoom, shiftPx } = control.knock ?? { rollDeg: 0, zoom: 1, shiftPx: [0, 0] };
          context.resetTransform();
          context.fillStyle = '#000';
          context.fillRect(0, 0, width, height);
          context.translate(width / 2 + shiftPx[0], height / 2 + shiftPx[1]);
          context.rotate((rollDeg * Math.PI) / 180);
          context.scale(zoom, zoom);
          context.translate(-width / 2, -height / 2);
          context.scale(scale, scale);
          context.drawImage(image, 0, 0);
          control.drawn = loaded;
          // Two frames that are equal to the last bit are not sent twice: one corner flickers.
          context.resetTransform();
          context.fillStyle = performance.now() % 200 < 100 ? '#000' : '#222';
          context.fillRect(0, 0, 2, 2);
        };
        const timer = setInterval(draw, 66);
        draw();
        const stream = canvas.captureStream(15);
        const [track] = stream.getVideoTracks();
        if (track === undefined) throw new Error('no track');
        current = track;
        const modes: Record<string, string> = {
          exposureMode: 'continuous',
          focusMode: 'continuous',
          whiteBalanceMode: 'continuous',
        };
        const { width, height } = canvas;
        Object.defineProperty(track, 'label', { value: label });
        track.getSettings = () => ({ width, height, frameRate: 15, deviceId: `id of ${label}`, ...modes });
        track.getCapabilities = () =>
          ({
            width: { min: 320, max: 1920 },
            height: { min: 240, max: 1080 },
            frameRate: { min: 1, max: 30 },
            exposureMode: ['continuous', 'manual'],
            focusMode: ['continuous', 'manual'],
            whiteBalanceMode: ['continuous', 'manual'],
          }) as MediaTrackCapabilities;
        track.applyConstraints = async (wanted: MediaTrackConstraints = {}) => {
          control.applied.push(wanted);
          for (const set of wanted.advanced ?? []) Object.assign(modes, set);
        };
        const stop = track.stop.bind(track);
        track.stop = () => {
          clearInterval(timer);
          stop();
        };
        return stream;
      };
      Object.defineProperty(navigator, 'mediaDevices', { value: media });
    },
    { picture, labels: [...labels] },
  );
}

/** Reaches the stand-in in the page. */
export function withCameras<T>(page: Page, work: (control: StandInControl) => T): Promise<T> {
  return page.evaluate(`(${String(work)})(window.standInCameras)`) as Promise<T>;
}

/** Has the cameras show another picture, and waits until they do: it has to be loaded first. */
export async function showPicture(page: Page, address: string): Promise<void> {
  await page.evaluate((next) => {
    (window as unknown as { standInCameras: StandInControl }).standInCameras.picture = next;
  }, address);
  await page.waitForFunction(
    (next) => (window as unknown as { standInCameras: StandInControl }).standInCameras.drawn === next,
    address,
  );
}

/** Shows pictures one after the other, one at each of the camera's, as a crank that turns evenly; all are loaded first. */
export async function playPictures(page: Page, addresses: readonly string[]): Promise<void> {
  await page.evaluate(async (pictures) => {
    const control = (window as unknown as { standInCameras: StandInControl }).standInCameras;
    const loaded = pictures.map(async (address) => ({
      address,
      image: await createImageBitmap(await (await fetch(address)).blob()),
    }));
    control.coming = await Promise.all(loaded);
    while (control.coming.length > 0) await new Promise((resolve) => setTimeout(resolve, 5));
  }, addresses);
}

/** Pictures of a folder, served to the page under an address of its own. */
export async function servePictures(
  browser: BrowserContext,
  pictures: Readonly<Record<string, Buffer>>,
): Promise<void> {
  await browser.route('**/stand-in-pictures/*', (route) => {
    const name = new URL(route.request().url()).pathname.split('/').at(-1) ?? '';
    const body = pictures[name];
    return body === undefined
      ? route.fulfill({ status: 404 })
      : route.fulfill({ status: 200, contentType: name.endsWith('.png') ? 'image/png' : 'image/jpeg', body });
  });
}
