/** Largest message over the loopback host's WebSocket, bytes; both sides refuse more. */
export const largestMessageBytes = 96 * 1024 * 1024;
