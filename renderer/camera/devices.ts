/** A camera as the page may name it. Ids change with the page's origin, labels don't: both are remembered. */
export interface CameraDevice {
  readonly deviceId: string;
  readonly label: string;
}

/** Cameras that are plugged in; labels stay empty until a camera was allowed once. */
export async function listCameras(media: Pick<MediaDevices, 'enumerateDevices'>): Promise<CameraDevice[]> {
  const devices = await media.enumerateDevices();
  return devices
    .filter((device) => device.kind === 'videoinput')
    .map((device, index) => ({
      deviceId: device.deviceId,
      label: device.label === '' ? `Camera ${index + 1}` : device.label,
    }));
}

/**
 * The remembered camera among those that are there: by id first, else by label, since ids change with the origin.
 * @returns null where it isn't there
 */
export function findRemembered(cameras: readonly CameraDevice[], remembered: CameraDevice | null): CameraDevice | null {
  if (remembered === null) return null;
  return (
    cameras.find((camera) => camera.deviceId !== '' && camera.deviceId === remembered.deviceId) ??
    cameras.find((camera) => camera.label === remembered.label) ??
    null
  );
}
