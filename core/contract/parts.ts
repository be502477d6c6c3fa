import { z } from 'zod';
import { idSchema, madeSchema, nameSchema, noteSchema, numberSchema } from './basics.ts';
import { planSchema } from './plans.ts';

/**
 * A limit or target for a quantity, from a maker's sheet or from our own measured barrels.
 * Either limit may be absent; plus and minus needn't be equal, so limits are stored, not tolerances.
 */
export const specificationSchema = z.object({
  /** Quantity id of core/catalogue, or an event or duration key of core/mockup. */
  quantity: z.string().min(1).max(120),
  nominal: numberSchema.nullable(),
  lower: numberSchema.nullable(),
  upper: numberSchema.nullable(),
  unit: z.string().max(20),
  source: z.string().max(300),
  /** Date of the source as its paper states it, free text since papers state "3rd edition" as often as a day. */
  sourceDate: z.string().max(60).default(''),
});
export type Specification = z.infer<typeof specificationSchema>;

/** Side on which an offset lies: the side that the crank pin swings to after top dead centre, or the other. */
export const offsetSideSchema = z.enum(['swing_side', 'away_side']);
export type OffsetSide = z.infer<typeof offsetSideSchema>;

export const offsetSchema = z.object({ mm: numberSchema.min(0).max(20), side: offsetSideSchema });
export type Offset = z.infer<typeof offsetSchema>;

export const engineDataSchema = z.object({
  strokeMm: numberSchema.positive().max(500),
  rodLengthMm: numberSchema.positive().max(1000),
  /** Offset of the bore axis from the crank centre. */
  cylinderOffset: offsetSchema.default({ mm: 0, side: 'swing_side' }),
  /** Offset of the gudgeon pin from the bore axis. */
  pinOffset: offsetSchema.default({ mm: 0, side: 'swing_side' }),
  /** Crank angle of each cylinder behind the reference cylinder, which is the first; one entry a cylinder. */
  crankPhasesDeg: z.array(numberSchema.min(0).max(360)).min(1).max(12).default([0]),
  cylinderNames: z.array(z.string().max(60)).max(12).default([]),
  /** Highest running speed the builder works for; null where not decided. */
  speedRpm: numberSchema.positive().max(40_000).nullable().default(null),
  crankcaseVolumeBdcCc: numberSchema.positive().nullable().default(null),
  ignitionAdvanceDeg: numberSchema.min(0).max(90).nullable().default(null),
});
export type EngineData = z.infer<typeof engineDataSchema>;

/** Kinds of port as core/ports/kinds.ts lists them. */
export const portKindSchema = z.enum([
  'exhaust',
  'auxiliary_exhaust',
  'transfer_main',
  'transfer_secondary',
  'boost',
  'intake_skirt',
  'intake_disc',
  'intake_reed',
]);
export type PortKind = z.infer<typeof portKindSchema>;

/** Left and right of a loose engine are its drive side and its ignition side. */
export const portSideSchema = z.enum(['none', 'drive_side', 'ignition_side', 'both']);
export type PortSide = z.infer<typeof portSideSchema>;

/** One port, or several read as a group, of a barrel. Sizes are absent until measured. */
export const portSchema = z.object({
  /** Unique inside the barrel and kept when the barrel is copied, so that readings of copies line up. */
  portId: z.string().min(1).max(60),
  kind: portKindSchema,
  side: portSideSchema.default('none'),
  label: nameSchema,
  /** Windows that this entry stands for. */
  windowCount: z.int().min(1).max(12).default(1),
  /** Projected chord of one window. */
  widthMm: numberSchema.positive().max(300).nullable().default(null),
  /** Along the bore axis. */
  heightMm: numberSchema.positive().max(300).nullable().default(null),
  cornerRadiusTopMm: numberSchema.min(0).max(100).default(0),
  cornerRadiusBottomMm: numberSchema.min(0).max(100).default(0),
  roofDropMm: numberSchema.min(0).max(100).default(0),
  /** From the top of the barrel down to the roof (skirt intake: to the floor). */
  edgeFromDeckMm: numberSchema.min(0).max(500).nullable().default(null),
  azimuthDeg: numberSchema.nullable().default(null),
  elevationDeg: numberSchema.nullable().default(null),
});
export type Port = z.infer<typeof portSchema>;

export const barrelDataSchema = z.object({
  boreMm: numberSchema.positive().max(300).nullable().default(null),
  ports: z.array(portSchema).max(40).default([]),
  specifications: z.array(specificationSchema).max(200).default([]),
});
export type BarrelData = z.infer<typeof barrelDataSchema>;

export const pistonDataSchema = z.object({
  diameterMm: numberSchema.positive().max(300).nullable().default(null),
  /** Height above the skirt's lower edge at which the diameter is taken, as the maker says. */
  gaugeHeightMm: numberSchema.min(0).max(300).nullable().default(null),
  skirtLengthMm: numberSchema.positive().max(300).nullable().default(null),
  domeVolumeCc: numberSchema.nullable().default(null),
  massG: numberSchema.positive().nullable().default(null),
  specifications: z.array(specificationSchema).max(200).default([]),
});
export type PistonData = z.infer<typeof pistonDataSchema>;

export const headDataSchema = z.object({
  volumeCc: numberSchema.positive().nullable().default(null),
  bowlDiameterMm: numberSchema.positive().nullable().default(null),
  squishBandTaperDeg: numberSchema.min(0).max(45).default(0),
  specifications: z.array(specificationSchema).max(200).default([]),
});
export type HeadData = z.infer<typeof headDataSchema>;

export const gasketDataSchema = z.object({
  place: z.enum(['base', 'head']),
  thicknessNewMm: numberSchema.positive().max(20).nullable().default(null),
  thicknessCrushedMm: numberSchema.positive().max(20).nullable().default(null),
  boreMm: numberSchema.positive().max(300).nullable().default(null),
});
export type GasketData = z.infer<typeof gasketDataSchema>;

const partCommon = { name: nameSchema, marks: z.string().max(400).default(''), notes: noteSchema };

/** What a person enters for a part; the row's id and time are added by the host. */
export const partContentSchema = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('engine'), ...partCommon, data: engineDataSchema }),
  z.object({ kind: z.literal('barrel'), ...partCommon, data: barrelDataSchema }),
  z.object({ kind: z.literal('piston'), ...partCommon, data: pistonDataSchema }),
  z.object({ kind: z.literal('head'), ...partCommon, data: headDataSchema }),
  z.object({ kind: z.literal('gasket'), ...partCommon, data: gasketDataSchema }),
]);
export type PartContent = z.infer<typeof partContentSchema>;
export type PartKind = PartContent['kind'];
export const partKindSchema = z.enum(['engine', 'barrel', 'piston', 'head', 'gasket']);

export const partSchema = z.intersection(madeSchema, partContentSchema);
export type Part = z.infer<typeof partSchema>;
export type PartOf<K extends PartKind> = Extract<Part, { kind: K }>;

/** A customer's personal details stand in one row, so that they can be removed while the measurements stay. */
export const customerContentSchema = z.object({
  name: z.string().max(200),
  contact: z.string().max(1000).default(''),
});
export type CustomerContent = z.infer<typeof customerContentSchema>;
export const customerSchema = z.intersection(madeSchema, customerContentSchema);
export type Customer = z.infer<typeof customerSchema>;

/** One job on one engine. */
export const buildContentSchema = z.object({
  title: nameSchema,
  jobNumber: z.string().max(100).default(''),
  customerId: idSchema.nullable().default(null),
  measuredBy: z.string().max(200).default(''),
  engineId: idSchema.nullable().default(null),
  notes: noteSchema,
});
export type BuildContent = z.infer<typeof buildContentSchema>;
export const buildSchema = z.intersection(madeSchema, buildContentSchema);
export type Build = z.infer<typeof buildSchema>;

/** How a port edge is judged; a blade makes the edge late by its thickness and is computed out. */
export const edgeCriterionSchema = z.object({
  kind: z.enum(['first_light', 'blade', 'wire', 'paper_nip']),
  thicknessMm: numberSchema.min(0).max(5).default(0),
});
export type EdgeCriterion = z.infer<typeof edgeCriterionSchema>;

/** One configuration of parts as assembled; readings belong to it. */
export const mockUpContentSchema = z.object({
  buildId: idSchema,
  name: nameSchema,
  engineId: idSchema,
  /** Index into the engine's cylinders; 0 is the reference cylinder. */
  cylinderIndex: z.int().min(0).max(11).default(0),
  barrelId: idSchema,
  pistonId: idSchema.nullable().default(null),
  headId: idSchema.nullable().default(null),
  baseGasketId: idSchema.nullable().default(null),
  headGasketId: idSchema.nullable().default(null),
  /** Thickness as fitted, torqued once; null where not known yet. */
  baseGasketMm: numberSchema.min(0).max(20).nullable().default(null),
  headGasketMm: numberSchema.min(0).max(20).nullable().default(null),
  criterion: edgeCriterionSchema.default({ kind: 'first_light', thicknessMm: 0 }),
  /** Ports whose edges are judged by another criterion than the mock-up's, by port id. */
  portCriteria: z.record(z.string().max(60), edgeCriterionSchema).default({}),
  governs: z.enum(['port_timing', 'deck_dimension', 'chamber_volume']).default('port_timing'),
  roomTemperatureC: numberSchema.min(-40).max(60).nullable().default(null),
  copiedFromId: idSchema.nullable().default(null),
  specifications: z.array(specificationSchema).max(200).default([]),
  plans: z.array(planSchema).max(30).default([]),
  notes: noteSchema,
});
export type MockUpContent = z.infer<typeof mockUpContentSchema>;
export const mockUpSchema = z.intersection(madeSchema, mockUpContentSchema);
export type MockUp = z.infer<typeof mockUpSchema>;
