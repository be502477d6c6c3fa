import { useState } from 'react';
import type { PlaceReadings } from '../../../core/mockup/check-readings.ts';
import { isUsable, type Stamp } from '../../../core/mockup/stamps.ts';
import type { StepQuantity } from '../../../core/mockup/step-shape.ts';
import { Button } from '../../parts/controls.tsx';
import { TextField } from '../../parts/fields.tsx';
import { NumberField } from '../../parts/number-field.tsx';
import { PictureDialog } from '../../parts/picture-dialog.tsx';
import { shownTime } from '../../parts/time-text.ts';
import { usePreferences } from '../../state/services.ts';
import { useCheckSession, useInstruments } from '../../state/use-check-results.ts';
import { asTyped, numberKind } from './as-typed.ts';

interface ChipsProps {
  readonly place: PlaceReadings;
  /** Root id of the reading whose details are shown. */
  readonly openId: string | null;
  readonly onOpen: (rootId: string | null) => void;
}

/** All readings of a place in the order in which they were taken; each opens. */
export function ReadingChips({ place, openId, onOpen }: ChipsProps) {
  const { stamps, outlierIds } = place;
  if (stamps.length === 0) return null;
  return (
    <ul className="row reading-chips" aria-label="Readings">
      {stamps.map((stamp) => (
        <li key={stamp.root.id}>
          <button
            type="button"
            className="reading-chip"
            data-standing={isUsable(stamp)}
            aria-expanded={stamp.root.id === openId}
            onClick={() => onOpen(stamp.root.id === openId ? null : stamp.root.id)}
          >
            <span className="reading-chip-value">{readingText(stamp)}</span>{' '}
            {standingWord(stamp, outlierIds.has(stamp.root.id))}
          </button>
        </li>
      ))}
    </ul>
  );
}

/** The readings of something that is written down or photographed. */
export function KeptList({ place }: { place: PlaceReadings }) {
  const [openId, setOpenId] = useState<string | null>(null);
  const open = place.stamps.find(({ root }) => root.id === openId) ?? null;
  return (
    <>
      <ReadingChips place={place} openId={openId} onOpen={setOpenId} />
      {open === null ? null : <ReadingDetail stamp={open} quantity={place.quantity} />}
    </>
  );
}

export function readingText(stamp: Stamp): string {
  const { subject } = stamp.current;
  if (subject.what !== 'quantity') return '';
  const text = subject.typedText || String(subject.value);
  // A bare number beside results in inches would be taken for inches.
  return /^[-+−]?[\d.,]+$/.test(text) ? `${text} ${subject.unit}`.trim() : text;
}

function standingWord(stamp: Stamp, isOutlier: boolean): string | null {
  if (stamp.struck) return 'struck';
  if (stamp.isVoid) return 'void';
  if (stamp.doubtful) return 'in doubt';
  if (isOutlier) return 'stands apart';
  return stamp.history.length > 1 ? 'corrected' : null;
}

/** Who, when, with what, what it replaced, and what can be done with it. */
export function ReadingDetail({ stamp, quantity }: { stamp: Stamp; quantity: StepQuantity }) {
  const session = useCheckSession();
  const instruments = useInstruments();
  const [doing, setDoing] = useState<'strike' | 'correct' | null>(null);
  const [pictureId, setPictureId] = useState<string | null>(null);
  const { subject } = stamp.current;
  if (subject.what !== 'quantity') return null;
  const instrument = instruments.find(({ id }) => id === subject.instrumentId)?.name ?? null;
  const facts = [
    shownTime(stamp.root.takenAt),
    stamp.root.measuredBy === '' ? '' : `by ${stamp.root.measuredBy}`,
    instrument ?? '',
    subject.fromTo === null
      ? ''
      : `${Number(subject.fromTo.end.toPrecision(6))} less ${Number(subject.fromTo.start.toPrecision(6))} ${subject.unit}`,
    subject.resolution === null ? '' : `to ${Number(subject.resolution.toPrecision(6))} ${subject.unit}`,
    stamp.current.note,
    stamp.reason,
  ].filter((fact) => fact !== '');
  return (
    <div className="reading-detail">
      <p className="small">{facts.join(', ')}</p>
      {stamp.history.length < 2 ? null : (
        <ol className="small muted" aria-label="What this reading was before">
          {stamp.history.map((reading, index) => (
            <li key={reading.id}>
              {shownTime(reading.takenAt)}: {reading.subject.what === 'quantity' ? reading.subject.typedText : ''}
              {index === 0 ? '' : `, replaces the one before: ${reading.supersedesReason || 'no reason given'}`}
            </li>
          ))}
        </ol>
      )}
      {doing === 'strike' ? (
        <StrikeForm
          onDone={(reason) => {
            if (reason !== null) session.strike(stamp, reason);
            setDoing(null);
          }}
        />
      ) : doing === 'correct' ? (
        <CorrectForm stamp={stamp} quantity={quantity} onDone={() => setDoing(null)} />
      ) : (
        <div className="row">
          {stamp.current.pictureId === null ? null : (
            <Button look="quiet" onPress={() => setPictureId(stamp.current.pictureId)}>
              Picture
            </Button>
          )}
          {isUsable(stamp) ? (
            <>
              <Button look="quiet" onPress={() => setDoing('correct')}>
                Correct
              </Button>
              <Button look="quiet" onPress={() => setDoing('strike')}>
                Strike out
              </Button>
            </>
          ) : (
            <Button look="quiet" onPress={() => session.restore(stamp)}>
              Let it count again
            </Button>
          )}
        </div>
      )}
      {pictureId === null ? null : <PictureDialog pictureId={pictureId} onClose={() => setPictureId(null)} />}
    </div>
  );
}

function StrikeForm({ onDone }: { onDone: (reason: string | null) => void }) {
  const [reason, setReason] = useState('');
  return (
    <form
      className="row"
      onSubmit={(event) => {
        event.preventDefault();
        onDone(reason.trim() === '' ? 'no reason given' : reason.trim());
      }}
    >
      <TextField label="Reason for striking it out" value={reason} autoFocus onChange={setReason} />
      <button type="submit" className="button button-plain">
        Strike out
      </button>
      <Button look="quiet" onPress={() => onDone(null)}>
        Leave it
      </Button>
    </form>
  );
}

function CorrectForm({ stamp, quantity, onDone }: { stamp: Stamp; quantity: StepQuantity; onDone: () => void }) {
  const session = useCheckSession();
  const { subject } = stamp.current;
  const preferences = usePreferences();
  const isWords = quantity.kind === 'words';
  const [draft, setDraft] = useState<{ readonly value: number; readonly text: string } | null>(null);
  const [words, setWords] = useState(stamp.current.note);
  const [reason, setReason] = useState('');
  if (subject.what !== 'quantity') return null;
  const { quantity: id, position, unit, resolution, instrumentId } = subject;
  return (
    <form
      className="row"
      onSubmit={(event) => {
        event.preventDefault();
        const typed = isWords ? { value: 1, text: words } : draft;
        if (typed === null || typed.text.trim() === '') return;
        session.correct(
          stamp,
          {
            quantity: id,
            position,
            value: typed.value,
            unit: quantity.unit,
            typedText: isWords ? typed.text.trim() : asTyped(typed.text, quantity, preferences),
            // The step was stored in the reading's own unit, which an import may have brought in another one.
            resolution: unit === quantity.unit ? resolution : quantity.usualStep,
            instrumentId,
            note: isWords ? words.trim() : stamp.current.note,
          },
          reason.trim() === '' ? 'no reason given' : reason.trim(),
        );
        onDone();
      }}
    >
      {isWords ? (
        <TextField label="It should say" value={words} isMultiline autoFocus onChange={setWords} />
      ) : (
        <NumberField
          label="It should be"
          kind={numberKind(quantity)}
          unit={quantity.unit}
          decimals={4}
          value={null}
          lower={quantity.lower}
          upper={quantity.upper}
          isRequired
          autoFocus
          onChange={(value, text) => setDraft(value === null ? null : { value, text })}
        />
      )}
      <TextField label="Reason for the correction" value={reason} onChange={setReason} />
      <button type="submit" className="button button-plain">
        Keep the correction
      </button>
      <Button look="quiet" onPress={onDone}>
        Leave it
      </Button>
    </form>
  );
}
