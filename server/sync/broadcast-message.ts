/** RFC 6455, section 5.2: FIN and the opcode of a binary message. */
const FIN_BINARY = 0x82
const LENGTH_16 = 126
const LENGTH_64 = 127

/**
 * A message for many sockets. What stands on the line is the same for each of them, so it is made once, and each socket gets it in one write:
 * framing it anew for every receiver took a fifth of the time of sending it around.
 */
export class BroadcastMessage {
  #line: Buffer | null = null

  constructor(readonly payload: Uint8Array) {}

  /** The message as one websocket frame, unmasked as a server's must be (RFC 6455, sections 5.1 and 5.2). */
  get onTheLine(): Buffer {
    return (this.#line ??= frameOf(this.payload))
  }
}

function frameOf(payload: Uint8Array): Buffer {
  const { length } = payload
  const lengthBytes = length < LENGTH_16 ? 0 : length < 2 ** 16 ? 2 : 8
  const frame = Buffer.allocUnsafe(2 + lengthBytes + length)
  frame[0] = FIN_BINARY
  frame[1] = lengthBytes === 0 ? length : lengthBytes === 2 ? LENGTH_16 : LENGTH_64
  if (lengthBytes === 2) frame.writeUInt16BE(length, 2)
  if (lengthBytes === 8) frame.writeBigUInt64BE(BigInt(length), 2)
  frame.set(payload, 2 + lengthBytes)
  return frame
}
