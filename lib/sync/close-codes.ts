/** WebSocket close codes of our own (4000-4999 is the private range of RFC 6455, section 7.4.2). */
export const CLOSE = {
  /** The session ended or was revoked: do not reconnect. */
  revoked: 4401,
  /** Too many refused frames. */
  offender: 4408,
  /** The socket's backlog could not be delivered. */
  tooSlow: 4413,
  /** The server is shutting down: reconnect later. */
  shutdown: 1001,
} as const
