import { useEffect, useRef, useState } from 'react';
import type { PictureContent } from '../../core/contract/messages.ts';
import { sentenceOf } from '../state/sentence-of.ts';
import { useClient } from '../state/services.ts';
import { Button, Notice } from './controls.tsx';

/** The kept frame of a stamp, as large as the window allows. */
export function PictureDialog({ pictureId, onClose }: { pictureId: string; onClose: () => void }) {
  const client = useClient();
  const dialog = useRef<HTMLDialogElement>(null);
  const [picture, setPicture] = useState<PictureContent | null>(null);
  const [failure, setFailure] = useState<string | null>(null);
  useEffect(() => {
    const element = dialog.current;
    element?.showModal();
    return () => element?.close();
  }, []);
  useEffect(() => {
    client
      .call('picture.get', { id: pictureId })
      .then(setPicture)
      .catch((error: unknown) => setFailure(sentenceOf(error)));
  }, [client, pictureId]);
  return (
    <dialog
      ref={dialog}
      className="picture-dialog"
      aria-label="Picture of the stamp"
      onCancel={(event) => {
        event.preventDefault();
        onClose();
      }}
    >
      <div className="row spread">
        <h2>The picture kept with this stamp</h2>
        <Button onPress={onClose} keyHint="Esc">
          Close
        </Button>
      </div>
      {failure === null ? null : <Notice tone="failure">{failure}</Notice>}
      {picture === null ? (
        <p role="status">{failure === null ? 'Reading the picture' : ''}</p>
      ) : (
        <img
          src={`data:${picture.mime};base64,${picture.bytes}`}
          width={picture.widthPx}
          height={picture.heightPx}
          alt="Degree wheel at the moment of the stamp"
        />
      )}
    </dialog>
  );
}
