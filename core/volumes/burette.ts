import { notNegative, positive, presentOr, refuse } from '../checks.ts';
import { borderSlack, type Cc, ccFromMm3, type Mm } from '../units.ts';

/** Volume of a disc. */
export const discVolume = (diameterMm: Mm, heightMm: Mm): Cc => ccFromMm3((Math.PI / 4) * diameterMm ** 2 * heightMm);

/**
 * Spherical cap, such as a piston dome, from its height.
 * @param baseDiameterMm greater than 0
 * @param heightMm 0 or more
 * @returns no radius where it is flat
 * @throws missing, non_positive, negative
 * @source V = pi h (3a^2 + h^2)/6, R = (a^2 + h^2)/2h
 */
export function capFromHeight(baseDiameterMm: Mm, heightMm: Mm): { volumeCc: Cc; sphereRadiusMm?: Mm } {
  const half = positive('baseDiameterMm', baseDiameterMm) / 2;
  const height = notNegative('heightMm', heightMm);
  const volumeCc = ccFromMm3((Math.PI * height * (3 * half ** 2 + height ** 2)) / 6);
  return height <= borderSlack ? { volumeCc } : { volumeCc, sphereRadiusMm: (half ** 2 + height ** 2) / (2 * height) };
}

/**
 * Spherical cap up to a hemisphere, from the radius of its sphere.
 * @param sphereRadiusMm at least half the base diameter
 * @throws missing, non_positive, out_of_range
 */
export function capFromRadius(baseDiameterMm: Mm, sphereRadiusMm: Mm): { heightMm: Mm; volumeCc: Cc } {
  const half = positive('baseDiameterMm', baseDiameterMm) / 2;
  const radius = positive('sphereRadiusMm', sphereRadiusMm);
  if (radius < half - borderSlack) {
    refuse('out_of_range', 'sphereRadiusMm', radius, `at least half the base, ${half} mm`, 'measure it again.');
  }
  // a^2/(R + root) is R - root without the cancellation of a flat dome.
  const heightMm = half ** 2 / (radius + Math.sqrt(Math.max(0, (radius - half) * (radius + half))));
  return { heightMm, volumeCc: ccFromMm3((Math.PI * heightMm * (3 * half ** 2 + heightMm ** 2)) / 6) };
}

/**
 * Volume of a head from two readings of a burette.
 *
 * Head on a plate with the plug fitted: give the plate's filling hole. Assembled at TDC and filled to the top of the
 * plug hole: give the volume that the plug fills.
 * @throws missing, negative, inconsistent where nothing was poured, non_positive where nothing is left
 */
export function headVolume(input: {
  buretteStartCc: Cc;
  buretteEndCc: Cc;
  plateHoleVolumeCc?: Cc | undefined;
  plugHoleVolumeCc?: Cc | undefined;
}): Cc {
  const start = notNegative('buretteStartCc', input.buretteStartCc);
  const end = notNegative('buretteEndCc', input.buretteEndCc);
  const plate = notNegative('plateHoleVolumeCc', presentOr('plateHoleVolumeCc', input.plateHoleVolumeCc, 0));
  const plug = notNegative('plugHoleVolumeCc', presentOr('plugHoleVolumeCc', input.plugHoleVolumeCc, 0));
  if (end <= start + borderSlack) {
    refuse('inconsistent', 'buretteEndCc', end, `greater than the first reading, ${start} cm³`, 'the two are swapped.');
  }
  return positive('headVolumeCc', end - start - plate - plug);
}

/**
 * Volume of the plug's thread, by its mean diameter; better measured by burette.
 * @throws missing, non_positive
 */
export function plugHoleVolume(pitchDiameterMm: Mm, lengthMm: Mm): Cc {
  return discVolume(positive('pitchDiameterMm', pitchDiameterMm), positive('lengthMm', lengthMm));
}

/**
 * Volume of the piston's dome, with the crown edge set down the bore by a known depth under a plate.
 * @param depthMm crown edge below the top of the barrel, greater than 0
 * @param buretteVolumeCc poured in, greater than 0
 * @returns negative for a dish
 * @throws missing, non_positive, negative
 */
export function domeVolume(input: {
  boreMm: Mm;
  depthMm: Mm;
  buretteVolumeCc: Cc;
  plateHoleVolumeCc?: Cc | undefined;
}): Cc {
  const bore = positive('boreMm', input.boreMm);
  const depth = positive('depthMm', input.depthMm);
  const poured = positive('buretteVolumeCc', input.buretteVolumeCc);
  const plate = notNegative('plateHoleVolumeCc', presentOr('plateHoleVolumeCc', input.plateHoleVolumeCc, 0));
  return discVolume(bore, depth) - positive('buretteVolumeCc', poured - plate);
}
