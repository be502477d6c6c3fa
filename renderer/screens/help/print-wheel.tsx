import { useState } from 'react';
import type { NumbersGrow } from '../../../core/wheel/coded/wheel-face.ts';
import {
  leastDiameterMm,
  mostDiameterMm,
  type PaperName,
  paperNames,
  papers,
  usualBoreMm,
  type WheelSheet,
  wheelSheet,
} from '../../../core/wheel/coded/wheel-sheet.ts';
import { WheelSheetDrawing } from '../../drawings/wheel-sheet-drawing.tsx';
import { Button, Notice } from '../../parts/controls.tsx';
import { NumberField } from '../../parts/number-field.tsx';
import { sentenceOf } from '../../state/sentence-of.ts';
import { useClient } from '../../state/services.ts';
import { saveWheelSheet } from '../../state/sheet-effects.ts';

type Saving = { readonly kind: 'no' | 'under_way' } | { readonly kind: 'done' | 'failed'; readonly sentence: string };

/** Paper, size and hole of a wheel to print; the page is shown as it will come out. */
export function PrintWheel() {
  const client = useClient();
  const [paper, setPaper] = useState<PaperName>('a4');
  const [diameterMm, setDiameterMm] = useState<number | null>(papers.a4.usualDiameterMm);
  const [boreMm, setBoreMm] = useState<number | null>(usualBoreMm);
  const [isDiameterUsable, setDiameterUsable] = useState(true);
  const [isBoreUsable, setBoreUsable] = useState(true);
  const [grows, setGrows] = useState<NumbersGrow>('clockwise');
  const [saving, setSaving] = useState<Saving>({ kind: 'no' });
  const isUsable = isDiameterUsable && isBoreUsable;
  const page = pageOf(paper, diameterMm, boreMm, grows);

  async function save(): Promise<void> {
    if (diameterMm === null || boreMm === null || !isUsable || !page.ok) return;
    setSaving({ kind: 'under_way' });
    try {
      const fileName = await saveWheelSheet(client, { paper, diameterMm, boreMm, grows });
      setSaving({
        kind: 'done',
        sentence: `${fileName} is in your downloads. Print it at 100 %, then measure both bars.`,
      });
    } catch (error) {
      setSaving({ kind: 'failed', sentence: sentenceOf(error) });
    }
  }

  return (
    <section className="print-wheel" aria-label="Print a wheel">
      <form
        className="stack"
        onSubmit={(event) => {
          event.preventDefault();
          void save();
        }}
      >
        <label className="field">
          Paper
          <select
            value={paper}
            onChange={(event) => {
              const chosen = paperNames.find((name) => name === event.target.value) ?? 'a4';
              setPaper(chosen);
              setDiameterMm(papers[chosen].usualDiameterMm);
            }}
          >
            {paperNames.map((name) => (
              <option key={name} value={name}>
                {papers[name].name}
              </option>
            ))}
          </select>
        </label>
        <NumberField
          key={paper}
          label="Diameter"
          kind="length"
          value={diameterMm}
          onChange={setDiameterMm}
          onValidity={setDiameterUsable}
          hint={`${leastDiameterMm} to ${mostDiameterMm(paper)} mm on ${papers[paper].name}`}
          decimals={1}
          isRequired
        />
        <NumberField
          label="Hole on the crank"
          kind="length"
          value={boreMm}
          onChange={setBoreMm}
          onValidity={setBoreUsable}
          decimals={2}
          isRequired
        />
        <label className="field">
          Numbers grow
          <select
            value={grows}
            onChange={(event) => setGrows(event.target.value === 'clockwise' ? 'clockwise' : 'anticlockwise')}
          >
            <option value="clockwise">clockwise round the face</option>
            <option value="anticlockwise">anticlockwise round the face</option>
          </select>
        </label>
        <p className="muted small">
          Under a fixed pointer they rise when the wheel turns the other way. Take anticlockwise where the wheel, as you
          look at it, turns clockwise when the crank goes forwards.
        </p>
        {page.ok ? null : <p role="alert">{page.sentence}</p>}
        <div className="row">
          <Button
            look="main"
            isDisabled={!page.ok || !isUsable || saving.kind === 'under_way'}
            onPress={() => void save()}
          >
            Save as PDF
          </Button>
        </div>
        {saving.kind === 'done' ? <p role="status">{saving.sentence}</p> : null}
        {saving.kind === 'failed' ? <Notice tone="failure">{saving.sentence}</Notice> : null}
      </form>
      {page.ok ? <WheelSheetDrawing sheet={page.sheet} /> : null}
    </section>
  );
}

function pageOf(
  paper: PaperName,
  diameterMm: number | null,
  boreMm: number | null,
  grows: NumbersGrow,
): { readonly ok: true; readonly sheet: WheelSheet } | { readonly ok: false; readonly sentence: string } {
  if (diameterMm === null || boreMm === null) return { ok: false, sentence: 'Enter diameter and hole.' };
  try {
    return { ok: true, sheet: wheelSheet({ paper, diameterMm, boreMm, grows }) };
  } catch (error) {
    return { ok: false, sentence: sentenceOf(error) };
  }
}
