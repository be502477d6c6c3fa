import { KnockDetector } from './knock-detector.ts';

/** The part of the audio thread's global scope that is used; the page's type library doesn't have it. */
interface AudioThread {
  readonly sampleRate: number;
  readonly AudioWorkletProcessor: new () => { readonly port: MessagePort };
  registerProcessor(name: string, processor: new (options: ProcessorOptions) => unknown): void;
}
interface ProcessorOptions {
  readonly processorOptions: { readonly leastLevel: number };
}
const thread = globalThis as unknown as AudioThread;

/** What the audio thread tells the page: how long ago the knock began, and how loud it was. */
export interface KnockMessage {
  readonly agoMs: number;
  readonly level: number;
}

class KnockProcessor extends thread.AudioWorkletProcessor {
  readonly #detector: KnockDetector;

  constructor({ processorOptions }: ProcessorOptions) {
    super();
    this.#detector = new KnockDetector({ sampleRate: thread.sampleRate, leastLevel: processorOptions.leastLevel });
  }

  process([input]: Float32Array[][]): boolean {
    const channel = input?.[0];
    if (channel !== undefined) {
      for (const { atSample, level } of this.#detector.add(channel)) {
        const agoMs = ((this.#detector.samples - atSample) / thread.sampleRate) * 1000;
        this.port.postMessage({ agoMs, level } satisfies KnockMessage);
      }
    }
    return true;
  }
}

thread.registerProcessor('knock', KnockProcessor);
