import type { BrowserContext, Page } from 'playwright-core';

interface StandIns {
  button: boolean;
  /** When the button last went down or up, ms of the page. */
  buttonAtMs: number;
  spoken: string[];
  wakeLocks: number;
  knock(): void;
}
type WithStandIns = typeof globalThis & { standIns: StandIns };

/**
 * What a machine without hands lacks: a game controller, a voice, a screen that could go dark, and a microphone. The
 * microphone plays an audio file when it is told to, since a file that Chromium plays by itself can't be kept in step
 * with the video; everything from `getUserMedia` on is the program's own.
 */
export async function standInForHands(browser: BrowserContext, knockWav: Buffer): Promise<void> {
  await browser.addInitScript((wavBase64: string) => {
    const spoken: string[] = [];
    const standIns: StandIns = { button: false, buttonAtMs: 0, spoken, wakeLocks: 0, knock: () => undefined };
    (window as unknown as WithStandIns).standIns = standIns;
    Object.defineProperty(navigator, 'getGamepads', {
      value: () => [
        {
          id: 'stand-in',
          timestamp: standIns.buttonAtMs,
          buttons: [0, 1, 2].map((index) => ({ pressed: index === 2 && standIns.button })),
        },
      ],
    });
    Object.defineProperty(navigator, 'wakeLock', {
      value: {
        request: async () => {
          standIns.wakeLocks += 1;
          return {
            release: async () => {
              standIns.wakeLocks -= 1;
            },
          };
        },
      },
    });
    Object.defineProperty(window, 'speechSynthesis', {
      value: {
        getVoices: () => [{ name: 'stand-in' }],
        cancel: () => undefined,
        speak: (utterance: { text: string }) => spoken.push(utterance.text),
        addEventListener: () => undefined,
        removeEventListener: () => undefined,
      },
    });
    const real = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
    navigator.mediaDevices.getUserMedia = async (wanted) => {
      if (wanted?.audio === undefined || wanted.audio === false) return real(wanted);
      const context = new AudioContext();
      await context.resume();
      const bytes = Uint8Array.from(atob(wavBase64), (letter) => letter.charCodeAt(0));
      const file = await context.decodeAudioData(bytes.buffer);
      const out = context.createMediaStreamDestination();
      standIns.knock = () => {
        const source = context.createBufferSource();
        source.buffer = file;
        source.connect(out);
        source.start();
      };
      return out.stream;
    };
  }, knockWav.toString('base64'));
}

export const knockOnce = (page: Page): Promise<void> =>
  page.evaluate(() => (window as unknown as WithStandIns).standIns.knock());

/** Each state stands until the page has had a turn to look, however busy it is. */
export async function pressController(page: Page, times = 1): Promise<void> {
  await page.evaluate(async (count) => {
    const { standIns } = window as unknown as WithStandIns;
    const pause = (ms: number) => new Promise((done) => setTimeout(done, ms));
    for (let press = 0; press < count; press++) {
      if (press > 0) await pause(120);
      for (const isDown of [true, false]) {
        Object.assign(standIns, { button: isDown, buttonAtMs: performance.now() });
        if (isDown) await pause(60);
      }
    }
  }, times);
}

export const spokenSoFar = (page: Page): Promise<string[]> =>
  page.evaluate(() => (window as unknown as WithStandIns).standIns.spoken);

export const wakeLocksHeld = (page: Page): Promise<number> =>
  page.evaluate(() => (window as unknown as WithStandIns).standIns.wakeLocks);

type WithSecondCamera = typeof globalThis & { secondCamera: { unplug(): void } };

/** A second camera beside Chromium's own: a drawn picture, since Chromium plays one file only. */
export async function standInForSecondCamera(browser: BrowserContext): Promise<void> {
  await browser.addInitScript(() => {
    const media = navigator.mediaDevices;
    const real = { list: media.enumerateDevices.bind(media), open: media.getUserMedia.bind(media) };
    let isThere = true;
    const device = {
      deviceId: 'borescope',
      groupId: 'b',
      kind: 'videoinput',
      label: 'Borescope',
      toJSON: () => ({}),
    } as const;
    media.enumerateDevices = async () => [...(await real.list()), ...(isThere ? [device] : [])];
    media.getUserMedia = async (wanted) => {
      if (!JSON.stringify(wanted ?? {}).includes('borescope')) return real.open(wanted);
      const canvas = document.createElement('canvas');
      canvas.width = 640;
      canvas.height = 480;
      const context = canvas.getContext('2d');
      let count = 0;
      setInterval(() => {
        count += 1;
        if (context === null) return;
        context.fillStyle = '#223';
        context.fillRect(0, 0, 640, 480);
        context.fillStyle = '#dde';
        context.fillRect((count * 7) % 600, 200, 40, 80);
      }, 60);
      const stream = canvas.captureStream(15);
      const [track] = stream.getVideoTracks();
      if (track !== undefined) {
        Object.defineProperty(track, 'label', { value: 'Borescope' });
        const settings = track.getSettings.bind(track);
        track.getSettings = () => ({ ...settings(), deviceId: 'borescope' });
      }
      (window as unknown as WithSecondCamera).secondCamera = {
        unplug() {
          isThere = false;
          track?.stop();
          track?.dispatchEvent(new Event('ended'));
          media.dispatchEvent(new Event('devicechange'));
        },
      };
      return stream;
    };
  });
}

export const unplugSecondCamera = (page: Page): Promise<void> =>
  page.evaluate(() => (window as unknown as WithSecondCamera).secondCamera.unplug());
