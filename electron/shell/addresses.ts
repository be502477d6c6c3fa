/** Scheme and host of the page inside Electron. */
export const pageScheme = 'app';
export const pageHost = 'bundle';
export const pageOrigin = `${pageScheme}://${pageHost}`;
export const pageAddress = `${pageOrigin}/index.html`;

function parsed(address: string): URL | null {
  return URL.canParse(address) ? new URL(address) : null;
}

/**
 * Is this an address of our own page? It is parsed and never searched: a foreign address may hold our name anywhere.
 * @param address as a frame, a request or a navigation states it
 */
export function isOwnAddress(address: string): boolean {
  const url = parsed(address);
  return (
    url !== null &&
    url.protocol === `${pageScheme}:` &&
    url.hostname === pageHost &&
    url.port === '' &&
    url.username === '' &&
    url.password === ''
  );
}

/** May a frame inside the page go there? Previews of sheets and PDFs are made by the page itself. */
export function isOwnFrameAddress(address: string): boolean {
  if (address === 'about:srcdoc' || address === 'about:blank') return true;
  const url = parsed(address);
  if (url?.protocol === 'blob:') return isOwnAddress(url.pathname);
  return isOwnAddress(address);
}
