import type { WheelSetup, WheelSetupContent } from '../../core/contract/readings.ts';
import type { CameraState } from '../camera/camera-states.ts';
import type { FromWorker } from '../wheel-worker/messages.ts';

/** A set-up that was made of a picture. */
export type NewSetupContent = WheelSetupContent & { readonly referencePictureId: string };

/** Row of a set-up that the camera has just made: forwards is not known until the operator has said it. */
export function contentOfNewSetup(
  mockUpId: string,
  camera: CameraState,
  message: Extract<FromWorker, { kind: 'set_up_made' }>,
  referencePictureId: string,
  before: WheelSetupContent | null,
): NewSetupContent {
  return {
    mockUpId,
    name: '',
    // The wheel may hang on the other crank end now: never carried over.
    forwards: null,
    crankEnd: before?.crankEnd ?? 'not_said',
    by: 'camera',
    wheelReading: before?.wheelReading ?? null,
    // The zero of the pointer belongs to one reference frame only.
    shownAtReferenceDeg: null,
    wheelDiameterMm: before?.wheelDiameterMm ?? null,
    cameraLabel: camera.kind === 'running' ? camera.source.label : '',
    pictureWidthPx: message.info.widthPx,
    pictureHeightPx: message.info.heightPx,
    referencePictureId,
    turnComplete: false,
    arcCoveredDeg: 0,
    eccentricityOfRadius: null,
    runOutDeg: null,
    continuesSetupId: null,
    continuesAtDeg: null,
  };
}

/** The same row after a fit of the turn. */
export function contentAfterFit(
  content: WheelSetupContent,
  message: Extract<FromWorker, { kind: 'calibrated' }>,
): WheelSetupContent {
  return {
    ...content,
    turnComplete: message.isComplete,
    arcCoveredDeg: Math.min(360, message.findings.arcCoveredDeg),
    eccentricityOfRadius: message.findings.eccentricityOfRadius,
    runOutDeg: message.findings.runOutDeg,
  };
}

/** Row of the place that begins when the wheel was moved on the crank: the same pictures, nothing carried on. */
export function contentAfterMove(content: WheelSetupContent): WheelSetupContent {
  // What the pointer shows is asked again: whether wheel or pointer moved isn't known.
  return { ...content, shownAtReferenceDeg: null, continuesSetupId: null, continuesAtDeg: null };
}

/** A place of the wheel that "Wheel moved" began, and the set-up whose pictures or numbers go on in it. */
export interface MovedPlace {
  readonly setupId: string;
  readonly earlierId: string;
  /** What the pointer was known to show at the earlier one's reference. */
  readonly shownAtReferenceDeg: number | null;
}

/** The same row counting on from the earlier place, the wheel not having moved, or on its own again. */
export function contentJoined(content: WheelSetupContent, place: MovedPlace, isJoined: boolean): WheelSetupContent {
  const { shownAtReferenceDeg: shown } = content;
  return isJoined
    ? {
        ...content,
        continuesSetupId: place.earlierId,
        continuesAtDeg: 0,
        shownAtReferenceDeg: shown ?? place.shownAtReferenceDeg,
      }
    : {
        ...content,
        continuesSetupId: null,
        continuesAtDeg: null,
        shownAtReferenceDeg: shown === place.shownAtReferenceDeg ? null : shown,
      };
}

/** What a stored set-up holds besides what the host adds to it. */
export function contentOfRow(row: WheelSetup): WheelSetupContent {
  const { id: _id, workplaceId: _workplace, createdAt: _time, hasReaderState: _has, ...content } = row;
  return content;
}

/** Row of a set-up whose wheel is read by eye. */
export function contentOfTypedSetup(
  mockUpId: string,
  wheelReading: NonNullable<WheelSetupContent['wheelReading']>,
): WheelSetupContent {
  return {
    mockUpId,
    name: '',
    forwards: null,
    crankEnd: 'not_said',
    by: 'typed',
    wheelReading,
    shownAtReferenceDeg: null,
    wheelDiameterMm: null,
    cameraLabel: '',
    pictureWidthPx: null,
    pictureHeightPx: null,
    referencePictureId: null,
    turnComplete: false,
    arcCoveredDeg: 0,
    eccentricityOfRadius: null,
    runOutDeg: null,
    continuesSetupId: null,
    continuesAtDeg: null,
  };
}

/** Stands for the reader's own figures until it has taken the set-up up again. */
export function placeholderInfo(setup: WheelSetup) {
  return {
    rim: { centrePx: [0, 0], fullAxesPx: [0, 0], angleDeg: 0 } as const,
    widthPx: setup.pictureWidthPx ?? 0,
    heightPx: setup.pictureHeightPx ?? 0,
    tickStepDeg: 1,
    modulusDeg: 360 as const,
    isCalibrated: setup.turnComplete,
    tiltDeg: 0,
    inPictureFraction: 1,
    codedRing: null,
    pointerPx: null,
  };
}
