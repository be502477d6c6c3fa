import { useEffect, useState } from 'react';
import { type MicrophoneState, microphoneSentence } from '../../microphone/microphone.ts';
import { hasVoice, watchVoices } from '../../state/bench-voice.ts';

/** What microphone and voice have to say, one small line each; nothing while both are off. */
export function SignalLines({ microphone, isVoiceWanted }: { microphone: MicrophoneState; isVoiceWanted: boolean }) {
  const [isVoiceThere, setVoiceThere] = useState(hasVoice);
  useEffect(() => watchVoices(setVoiceThere), []);
  const sentence = microphoneSentence(microphone);
  return (
    <>
      {sentence === '' ? null : (
        <p className="small muted bench-signal" data-testid="microphone">
          {sentence}
        </p>
      )}
      {isVoiceWanted && !isVoiceThere ? (
        <p className="small muted bench-signal" data-testid="voice">
          This system has no voice, so nothing is read aloud; tones and the screen say the same.
        </p>
      ) : null}
    </>
  );
}
