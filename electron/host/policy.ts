/** Which part of the program a response belongs to; each gets no more than it needs. */
export type Recipient = 'page' | 'wheel_worker';

/**
 * Content policy from "nothing" upwards. OpenCV's bindings build functions at run time, which only the response that
 * delivers the wheel worker's own script may allow; the page stays without.
 * @param connect further addresses for `connect-src`, such as the loopback host's WebSocket
 */
export function contentPolicy(recipient: Recipient, connect: readonly string[] = []): string {
  const script = recipient === 'wheel_worker' ? "'self' 'unsafe-eval' 'wasm-unsafe-eval'" : "'self'";
  return [
    "default-src 'none'",
    `script-src ${script}`,
    "worker-src 'self'",
    // React and SVG set style attributes; styles can't run anything.
    "style-src 'self' 'unsafe-inline'",
    "img-src 'self' data: blob:",
    "media-src 'self' blob: mediastream:",
    "font-src 'self' data:",
    `connect-src ${["'self'", ...connect].join(' ')}`,
    // The preview of a sheet and of a PDF made here.
    "frame-src 'self' blob:",
    "base-uri 'none'",
    "form-action 'none'",
    "frame-ancestors 'none'",
    "object-src 'none'",
  ].join('; ');
}

/** Headers of every response, whichever shell sends it. */
export function securityHeaders(recipient: Recipient, connect: readonly string[] = []): Record<string, string> {
  return {
    'Content-Security-Policy': contentPolicy(recipient, connect),
    'Permissions-Policy': 'camera=(self), microphone=(self), geolocation=(), usb=(), serial=(), payment=()',
    'X-Content-Type-Options': 'nosniff',
    'Referrer-Policy': 'no-referrer',
    'Cross-Origin-Opener-Policy': 'same-origin',
    'Cross-Origin-Resource-Policy': 'same-origin',
    'Cache-Control': 'no-cache',
  };
}

/** Policy of a kept sheet while it is printed: nothing runs, nothing is loaded from outside. */
export const sheetPolicy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:";
