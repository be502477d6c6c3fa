import './sheets.css';
import { type ReactNode, useRef, useState } from 'react';
import type { Sheet } from '../../../core/contract/messages.ts';
import { Button, Notice } from '../../parts/controls.tsx';
import { sentenceOf } from '../../state/sentence-of.ts';
import { useClient, useHost } from '../../state/services.ts';
import { savePdf } from '../../state/sheet-effects.ts';

interface SheetPreviewProps {
  readonly html: string;
  readonly note: string;
  /** Keeps the page, or finds it kept. */
  readonly keep: () => Promise<Sheet>;
  readonly children?: ReactNode;
}

/** A page exactly as it is printed, with what keeps and prints it. */
export function SheetPreview({ html, note, keep, children }: SheetPreviewProps) {
  const client = useClient();
  const { info } = useHost();
  const frame = useRef<HTMLIFrameElement>(null);
  const [doing, setDoing] = useState<string | null>(null);
  const [done, setDone] = useState<string | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const canSave = info?.canPrintPdf === true;
  const attempt = async (what: string, work: () => Promise<string>) => {
    setDoing(what);
    setDone(null);
    setProblem(null);
    try {
      setDone(await work());
    } catch (error) {
      setProblem(sentenceOf(error));
    } finally {
      setDoing(null);
    }
  };
  const print = () =>
    attempt('Keeping the sheet', async () => {
      await keep();
      frame.current?.contentWindow?.print();
      return 'Kept, and handed to the print dialog. Choose actual size there, and measure the 100 mm bars.';
    });
  const save = () =>
    attempt('Making the PDF', async () => {
      const fileName = await savePdf(client, await keep());
      return `Kept, and saved as ${fileName}.`;
    });
  return (
    <div className="sheets-preview">
      <div className="row spread">
        <div className="row">
          <Button look="main" isDisabled={doing !== null} onPress={() => void print()}>
            Print
          </Button>
          <Button isDisabled={doing !== null || !canSave} onPress={() => void save()}>
            Save as PDF
          </Button>
          <span role="status" className="small muted">
            {doing ?? done ?? note}
          </span>
        </div>
      </div>
      {info !== null && !canSave ? (
        <Notice tone="note">
          The program can't make a PDF by itself here: press Print and choose "Save as PDF" in the print dialog.
        </Notice>
      ) : null}
      {problem === null ? null : (
        <Notice tone="failure" title="Not done.">
          {problem}
        </Notice>
      )}
      {children}
      <iframe
        ref={frame}
        className="sheets-paper"
        title="The sheet as it is printed"
        srcDoc={html}
        sandbox="allow-same-origin allow-modals"
      />
    </div>
  );
}
