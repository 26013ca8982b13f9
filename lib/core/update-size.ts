/** The largest update that the server takes in one message, bytes. Both ends go by it. */
export const MAX_UPDATE_BYTES = 256 * 1024
