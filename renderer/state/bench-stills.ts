import type { WheelReading } from '../../core/wheel/types.ts';
import { droppedFile } from '../camera/dropped-file.ts';
import type { SightStore, StillRead } from './bench-sight.ts';

interface FileTools {
  readonly store: SightStore;
  play(recording: File): void;
  /** Reads a picture with the present set-up. */
  read(still: File, isMirrored: boolean): Promise<WheelReading>;
}

/** What is done with files that were dropped or chosen: a recording is played, stills are read with the present set-up. */
export function createFileTaker({ store, play, read }: FileTools): (files: readonly File[]) => void {
  async function readStill(file: File): Promise<void> {
    // A still comes from the same camera as the set-up: where that mirrors, so does the file.
    const { isMirrored } = store.getState();
    const show = (part: Pick<StillRead, 'reading' | 'failure'>): void =>
      store.setState(({ stills }) => ({
        stills: [
          ...stills.filter(({ name }) => name !== file.name),
          { name: file.name, picture: file, isMirrored, ...part },
        ],
      }));
    show({ reading: null, failure: '' });
    try {
      show({ reading: await read(file, isMirrored), failure: '' });
    } catch (error) {
      show({ reading: null, failure: error instanceof Error ? error.message : String(error) });
    }
  }

  return (files) => {
    store.setState({ fileRefused: null });
    const judged = files.map((file) => ({ file, use: droppedFile(file.name, file.type) }));
    const refused = judged.map(({ use }) => use).find((use) => use.kind === 'refused');
    if (refused !== undefined) store.setState({ fileRefused: refused });
    const recording = judged.find(({ use }) => use.kind === 'recording');
    if (recording !== undefined) play(recording.file);
    const stills = judged.filter(({ use }) => use.kind === 'still');
    const [first] = stills;
    if (first !== undefined && store.getState().setup === null) {
      store.setState({
        fileRefused: {
          what: `${first.file.name} can’t be read yet: there is no set-up to read it with.`,
          remedy: 'Set the wheel up first, with the camera where the picture was taken; then drop the picture again.',
        },
      });
      return;
    }
    for (const { file } of stills) void readStill(file);
  };
}
