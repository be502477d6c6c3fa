import { z } from 'zod';
import { idSchema, madeSchema, numberSchema, timeSchema } from './basics.ts';
import { edgeCriterionSchema } from './parts.ts';

/** Which way the crank was turned on to the edge: as the engine runs, or against it. */
export const turningSchema = z.enum(['forwards', 'backwards']);
export type Turning = z.infer<typeof turningSchema>;

/** An edge keeps the name that it has turning forwards. */
export const edgeSchema = z.enum(['opens', 'closes']);
export type Edge = z.infer<typeof edgeSchema>;

/** Way round as the un-mirrored camera picture shows it. */
export const waySchema = z.enum(['clockwise', 'anticlockwise']);
export type Way = z.infer<typeof waySchema>;

export const wheelScaleSchema = z.enum(['0-360', '0-180-0', '0-90-0-90', 'two_rings']);
export type WheelScaleKind = z.infer<typeof wheelScaleSchema>;

/**
 * How the wheel's scale is read: asked once for a set-up.
 * On scales that run both ways a typed number also needs its side of the zero.
 */
export const wheelReadingSetupSchema = z.object({
  scale: wheelScaleSchema,
  /** Do its numbers grow when the crank turns forwards (0-360, the ring in use)? For two-way scales: just past the zero. */
  growsForwards: z.boolean(),
});
export type WheelReadingSetup = z.infer<typeof wheelReadingSetupSchema>;

/** An angle read by the camera: rotation from the set-up's reference frame, clockwise as the camera sees it. */
const cameraAngleSchema = z.object({
  by: z.literal('camera'),
  setupId: idSchema,
  rotationDeg: numberSchema,
  /** Standard uncertainty of the reader, and of the movement where there was one. */
  sigmaDeg: numberSchema.positive(),
  /**
   * Where the crank was turning at the signal: how far it turned from its kept picture to the signal, clockwise, and the
   * standard uncertainty of that. Both are part of the angle above.
   */
  movement: z.object({ turnedDeg: numberSchema, sigmaDeg: numberSchema.min(0) }).optional(),
  /** 360, or 180/90 where the scale itself repeats. */
  modulusDeg: numberSchema.positive(),
  /** True before the turn is complete: wider uncertainty, to be re-read from the kept picture. */
  provisional: z.boolean(),
});

/** An angle read from the wheel by eye and typed. */
const typedAngleSchema = z.object({
  by: z.literal('typed'),
  /** Typed readings compare with each other only inside one wheel setting; a moved wheel begins a new one. */
  setupId: idSchema,
  /** As typed, on the wheel's own scale. */
  typedText: z.string().min(1).max(40),
  wheelReadingDeg: numberSchema,
  /** Only on scales that run both ways: does the number lie on the side that follows the zero turning forwards? */
  sideOfZero: z.enum(['after', 'before']).nullable().default(null),
  reading: wheelReadingSetupSchema,
  resolutionDeg: numberSchema.positive().max(10),
  /** The degree wheel of the instrument list that was read, and the standard uncertainty of its own error on that day. */
  instrumentId: idSchema.nullable().default(null),
  instrumentSigmaDeg: numberSchema.min(0).default(0),
});

export const angleSchema = z.discriminatedUnion('by', [cameraAngleSchema, typedAngleSchema]);
export type AngleReading = z.infer<typeof angleSchema>;
export type CameraAngle = z.infer<typeof cameraAngleSchema>;
export type CrankMovement = NonNullable<CameraAngle['movement']>;
export type TypedAngle = z.infer<typeof typedAngleSchema>;

/** What was read. */
export const subjectSchema = z.discriminatedUnion('what', [
  /** Contact with the positive stop, coming on to it this way round. */
  z.object({
    what: z.literal('stop_contact'),
    turning: turningSchema,
    stopDepthMm: numberSchema.positive().nullable().default(null),
    angle: angleSchema,
  }),
  /** A second bisection at the end: does TDC still stand where it was? */
  z.object({ what: z.literal('tdc_check'), turning: turningSchema, angle: angleSchema }),
  z.object({
    what: z.literal('port_edge'),
    portId: z.string().min(1).max(60),
    edge: edgeSchema,
    turning: turningSchema,
    criterion: edgeCriterionSchema,
    angle: angleSchema,
  }),
  /** Any reading of a manual instrument: gap, bore, squish, volume, ... */
  z.object({
    what: z.literal('quantity'),
    /** Step and quantity of core/mockup/steps.ts, for instance `ring_end_gap`. */
    quantity: z.string().min(1).max(120),
    /** Where on the part: `top`, `exhaust_side`, `0`, ... */
    position: z.string().max(60).default(''),
    value: numberSchema,
    unit: z.string().max(20),
    typedText: z.string().max(60),
    /** Smallest step of the instrument in the same unit. */
    resolution: numberSchema.positive().nullable().default(null),
    instrumentId: idSchema.nullable().default(null),
    /** Where the value is end less start on one scale (a burette): both readings, in the unit; null where typed as one. */
    fromTo: z.object({ start: numberSchema, end: numberSchema }).nullable().default(null),
  }),
]);
export type Subject = z.infer<typeof subjectSchema>;

/** How the stamp was signalled. */
export const signalSchema = z.enum([
  'key',
  'button',
  'foot_switch',
  'game_controller',
  'steady_hold',
  'knock',
  'typed',
  're_read',
]);
export type Signal = z.infer<typeof signalSchema>;

/** What the page sends to store a reading; pictures are JPEG, base64. */
export const readingContentSchema = z.object({
  /** Made by the page, so that a repeated send after a lost answer stores the reading once. */
  id: idSchema,
  mockUpId: idSchema,
  /** Sitting at the bench in which it was taken. */
  benchRunId: idSchema.nullable().default(null),
  subject: subjectSchema,
  signal: signalSchema,
  takenAt: timeSchema,
  measuredBy: z.string().max(200).default(''),
  pictureId: idSchema.nullable().default(null),
  secondPictureId: idSchema.nullable().default(null),
  /** The reading that this one replaces; the old one stays. */
  supersedesId: idSchema.nullable().default(null),
  supersedesReason: z.string().max(300).default(''),
  note: z.string().max(2000).default(''),
});
export type ReadingContent = z.infer<typeof readingContentSchema>;
export const readingSchema = z.intersection(madeSchema, readingContentSchema);
export type Reading = z.infer<typeof readingSchema>;

/** Append-only remarks on readings: undo, redo and doubts are added, never edited. The latest of a pair counts. */
export const markKindSchema = z.enum(['struck', 'restored', 'doubtful', 'trusted', 'void', 'valid']);
export type MarkKind = z.infer<typeof markKindSchema>;
export const readingMarkSchema = z.intersection(
  madeSchema,
  z.object({ readingId: idSchema, mark: markKindSchema, reason: z.string().max(300) }),
);
export type ReadingMark = z.infer<typeof readingMarkSchema>;

/** A place of camera, wheel and pointer; rotations are counted from its reference frame. */
export const wheelSetupContentSchema = z.object({
  mockUpId: idSchema,
  name: z.string().max(200).default(''),
  /** Which way the wheel turns in the un-mirrored picture when the crank turns forwards; null until confirmed. */
  forwards: waySchema.nullable(),
  crankEnd: z.enum(['drive_side', 'ignition_side', 'not_said']).default('not_said'),
  /** Set-up by camera, or only typed wheel readings. */
  by: z.enum(['camera', 'typed']),
  wheelReading: wheelReadingSetupSchema.nullable().default(null),
  /** The wheel's own scale under the pointer at rotation 0, rising forwards (`risingReading`); for display. */
  shownAtReferenceDeg: numberSchema.nullable().default(null),
  wheelDiameterMm: numberSchema.positive().nullable().default(null),
  cameraLabel: z.string().max(300).default(''),
  pictureWidthPx: z.int().positive().nullable().default(null),
  pictureHeightPx: z.int().positive().nullable().default(null),
  referencePictureId: idSchema.nullable().default(null),
  turnComplete: z.boolean().default(false),
  arcCoveredDeg: numberSchema.min(0).max(360).default(0),
  eccentricityOfRadius: numberSchema.nullable().default(null),
  runOutDeg: numberSchema.nullable().default(null),
  /** Earlier set-up whose rotations this one carries on, with the angle between the two references. */
  continuesSetupId: idSchema.nullable().default(null),
  continuesAtDeg: numberSchema.nullable().default(null),
});
export type WheelSetupContent = z.infer<typeof wheelSetupContentSchema>;
/** Serialised state of core/wheel (rim, strips, rigid model), base64; grows better over the turn. */
export const readerStateSchema = z.string().max(20_000_000);
export const wheelSetupSchema = z.intersection(
  madeSchema,
  // The state itself weighs megabytes and goes only to whom reads with it (`setup.readerState`).
  wheelSetupContentSchema.extend({ hasReaderState: z.boolean().default(false) }),
);
export type WheelSetup = z.infer<typeof wheelSetupSchema>;
