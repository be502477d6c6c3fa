import type { GreyPicture, WheelReader, WheelSetup } from '../../core/wheel/types.ts';
import type { SetupInfo } from './messages.ts';

/** What the page is told of a set-up. */
export function infoOf(setup: WheelSetup): SetupInfo {
  return {
    rim: setup.rim,
    widthPx: setup.widthPx,
    heightPx: setup.heightPx,
    tickStepDeg: setup.tickStepDeg,
    modulusDeg: setup.modulusDeg,
    isCalibrated: setup.calibrated,
    tiltDeg: setup.tiltDeg,
    inPictureFraction: setup.inPictureFraction,
    codedRing: setup.codedRing,
    pointerPx: setup.pointerPx,
  };
}

/** The same of a set-up just made of a picture: a mirrored one of a printed wheel gives no coded ring, and is told of. */
export function infoInPicture(
  reader: Pick<WheelReader, 'readCodedRing'>,
  setup: WheelSetup,
  picture: GreyPicture,
): SetupInfo {
  const info = infoOf(setup);
  const isMirrored = info.codedRing === null && reader.readCodedRing(setup, picture).state === 'mirrored';
  return isMirrored ? { ...info, codedRing: 'mirrored' } : info;
}
