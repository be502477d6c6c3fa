import { z } from 'zod';
import { idSchema, nameSchema, noteSchema, numberSchema } from './basics.ts';

const changeMmSchema = numberSchema.min(-50).max(50).optional();
const cutMmSchema = numberSchema.min(0).max(50).optional();
const groundSchema = z.record(z.string().min(1).max(60), numberSchema.min(0).max(50)).optional();

/** A change as core/planner takes it; what is absent stays as it is. */
export const planChangeSchema = z.object({
  strokeChangeMm: changeMmSchema,
  rodLengthChangeMm: changeMmSchema,
  baseGasketChangeMm: changeMmSchema,
  baseCutMm: cutMmSchema,
  deckCutMm: cutMmSchema,
  headGasketChangeMm: changeMmSchema,
  headCutMm: cutMmSchema,
  squishBandCutMm: cutMmSchema,
  bowlCutCc: numberSchema.min(0).max(500).optional(),
  edgeGroundMm: groundSchema,
  farEdgeGroundMm: groundSchema,
});
export type PlanChange = z.infer<typeof planChangeSchema>;

/** What a builder means to change on a mock-up. It is part of the mock-up's content, so its versions are kept with it. */
export const planSchema = z.object({
  planId: idSchema,
  name: nameSchema,
  change: planChangeSchema,
  /** Gaskets of the list that the plan takes; null where a thickness was typed. */
  baseGasketId: idSchema.nullable().default(null),
  headGasketId: idSchema.nullable().default(null),
  notes: noteSchema,
});
export type StoredPlan = z.infer<typeof planSchema>;
