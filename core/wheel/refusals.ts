import type { RefusalReason } from './types.ts';

/** What the operator reads: what is wrong, and what to do about it. */
export interface RefusalText {
  readonly what: string;
  readonly remedy: string;
}

const texts: Readonly<Record<RefusalReason, RefusalText>> = {
  moving_too_fast: {
    what: 'The wheel is moving too fast for this exposure.',
    remedy: 'Turn slower or hold the crank still; more light lets the camera expose shorter.',
  },
  hand_over_rim: {
    what: 'Something covers too much of the rim.',
    remedy: 'Take hand, rag or tool off the ring; a third of it may stay covered.',
  },
  glare: {
    what: 'A light is mirrored in the scale and washes it out.',
    remedy: 'Move the lamp or the camera until the ticks show all round.',
  },
  too_dark: {
    what: 'The picture is too dark to see the ticks.',
    remedy: 'Add light or lengthen the exposure.',
  },
  out_of_focus: {
    what: 'The ticks are out of focus.',
    remedy: 'Focus on the rim and lock the focus.',
  },
  wheel_not_whole: {
    what: 'Too little of the ring lies in the picture.',
    remedy: 'Move the camera back or aim it so that at least 60 % of the ring is in view, better all of it.',
  },
  camera_moved: {
    what: 'The camera has moved since the reference frame.',
    remedy: 'Put it back, or set up the wheel again from here; stamps already taken are kept.',
  },
  wheel_moved: {
    what: 'The wheel has moved against the picture without the camera moving.',
    remedy: 'Check that engine and wheel are tight, then turn the crank once again to calibrate and check TDC.',
  },
  position_not_unique: {
    what: 'More than one position of the wheel fits this picture.',
    remedy: 'Uncover the numerals, or turn the crank through a position that was read before.',
  },
  wheel_not_found: {
    what: 'No degree wheel was found in the picture.',
    remedy: 'Aim at the whole wheel in even light, or drag the outline on to its rim.',
  },
  ticks_not_resolvable: {
    what: 'The spacing of the ticks can’t be made out.',
    remedy: 'Move closer until the wheel’s radius is 170 pixels or more, focus on the rim, and check the outline.',
  },
  too_uncertain: {
    what: 'The angle would be too uncertain to use.',
    remedy: 'Finish the turn of the crank, improve the light, or look less steeply at the wheel.',
  },
  no_picture: {
    what: 'The camera gave no picture at the moment of the signal.',
    remedy: 'Hold the crank still, see that the live picture runs on, and signal again.',
  },
  nothing_matches: {
    what: 'The ring doesn’t look like the wheel of this set-up.',
    remedy: 'Check that nothing was changed; else set up the wheel again.',
  },
  picture_size_changed: {
    what: 'The picture has another size than the reference frame.',
    remedy: 'Choose the camera’s earlier resolution, or set up the wheel again.',
  },
  turn_too_short: {
    what: 'The crank has not been turned far enough to calibrate.',
    remedy: 'Turn slowly on, at least half a turn, better a full one, hands off the ring.',
  },
  model_does_not_fit: {
    what: 'The frames of the turn don’t fit one rigid wheel.',
    remedy: 'Check that camera, wheel and pointer are tight, check the outline, and turn once more.',
  },
};

/** Sentence and remedy of a refusal. */
export function refusalText(reason: RefusalReason): RefusalText {
  return texts[reason];
}
