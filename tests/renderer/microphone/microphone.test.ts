import { expect, test } from 'vitest';
import { listenForKnocks, type MicrophoneState, microphoneSentence } from '../../../renderer/microphone/microphone.ts';

/** States told while a microphone answers like this. */
async function statesWhen(answer: (() => Promise<MediaStream>) | null): Promise<MicrophoneState[]> {
  const states: MicrophoneState[] = [];
  const media = answer === null ? null : { getUserMedia: answer };
  const end = listenForKnocks(media, 0.1, { state: (state) => states.push(state), knock: () => undefined });
  await new Promise((resolve) => setTimeout(resolve, 5));
  end();
  return states;
}

const refusing = (name: string) => () => Promise.reject(new DOMException('said by the browser', name));

test.each([
  ['NotAllowedError', 'refused'],
  ['NotFoundError', 'none'],
  ['NotReadableError', 'failed'],
] as const)('%s becomes the state "%s", with a sentence that says what still works', async (name, kind) => {
  const states = await statesWhen(refusing(name));
  expect(states.map((state) => state.kind)).toEqual(['asking', kind]);
  const last = states.at(-1);
  expect(last === undefined ? '' : microphoneSentence(last)).toMatch(/every other signal works on/i);
});

test('a page without media devices has no microphone', async () => {
  expect(await statesWhen(null)).toEqual([{ kind: 'none' }]);
});

test('a permission that comes after the bench was left releases the microphone at once', async () => {
  let stopped = 0;
  const stream = { getTracks: () => [{ stop: () => (stopped += 1) }] } as unknown as MediaStream;
  let give: (stream: MediaStream) => void = () => undefined;
  const states: MicrophoneState[] = [];
  const media = { getUserMedia: () => new Promise<MediaStream>((resolve) => (give = resolve)) };
  const end = listenForKnocks(media, 0.1, { state: (state) => states.push(state), knock: () => undefined });
  end();
  give(stream);
  await new Promise((resolve) => setTimeout(resolve, 5));
  expect(stopped).toBe(1);
  expect(states).toEqual([{ kind: 'asking' }]);
});

test('nothing is said while knocks are off', () => {
  expect(microphoneSentence({ kind: 'off' })).toBe('');
});
