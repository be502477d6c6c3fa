import { z } from 'zod';
import type { Client } from '../../core/contract/client.ts';
import type { CameraDevice } from '../camera/devices.ts';

/** What is remembered of the camera between two days at the bench. */
const memorySchema = z.object({
  device: z.object({ deviceId: z.string(), label: z.string() }).nullable(),
  isMirrored: z.boolean(),
  quarterTurns: z.union([z.literal(0), z.literal(1), z.literal(2), z.literal(3)]),
  widthPx: z.int().positive(),
  heightPx: z.int().positive(),
  framesPerS: z.number().positive().default(30),
  /** The operator had exposure, focus and white balance locked: done again whenever the camera comes back. */
  isLocked: z.boolean().default(false),
});
export type CameraMemory = z.infer<typeof memorySchema>;

export const noCameraMemory: CameraMemory = {
  device: null,
  isMirrored: false,
  quarterTurns: 0,
  widthPx: 1280,
  heightPx: 720,
  framesPerS: 30,
  isLocked: false,
};

const key = 'rememberedCamera';

export async function recallCamera(client: Client): Promise<CameraMemory> {
  const kept = await client.call('preferences.get', {});
  const parsed = memorySchema.safeParse(kept[key]);
  return parsed.success ? parsed.data : noCameraMemory;
}

export async function rememberCamera(client: Client, memory: CameraMemory): Promise<void> {
  const device: CameraDevice | null = memory.device;
  await client.call('preferences.set', { key, value: { ...memory, device: device === null ? null : { ...device } } });
}
