/**
 * WebSocket close codes of our own (4000-4999 is the private range of RFC 6455, section 7.4.2). The stock client takes 4400-4499 for a
 * decision that reconnecting can't change, and 4500-4599 for "try again later".
 */
export const CLOSE = {
  /** The session ended or was revoked: do not reconnect. */
  revoked: 4401,
  /** Too many refused frames. */
  offender: 4408,
  /** The socket's backlog could not be delivered. */
  tooSlow: 4513,
  /** More open sockets than the session or the server may have. */
  tooMany: 4529,
  /** The kit knows no such meeting: not yet, where its own edit is still on its way. */
  noMeeting: 4530,
  /** The server is shutting down: reconnect later. */
  shutdown: 1001,
} as const
