import type { Session } from 'electron';
import { isOwnAddress } from './addresses.ts';

const mediaKinds = new Set(['video', 'audio']);

/** Allows camera and microphone to our own page, and nothing else to anybody. */
export function guardPermissions(session: Session): void {
  session.setPermissionRequestHandler((_contents, permission, answer, details) => {
    const kinds = 'mediaTypes' in details ? (details.mediaTypes ?? []) : [];
    answer(
      permission === 'media' && kinds.every((kind) => mediaKinds.has(kind)) && isOwnAddress(details.requestingUrl),
    );
  });
  session.setPermissionCheckHandler((_contents, permission, requestingOrigin) => {
    return permission === 'media' && isOwnAddress(requestingOrigin);
  });
  session.setDevicePermissionHandler(() => false);
}
