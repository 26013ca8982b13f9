/** Follows the bytes that a server sends over a websocket (RFC 6455, section 5.2), to know where one frame has ended and none has begun. */
export class FrameEdges {
  #head: number[] = []
  /** Bytes of the frame's payload that are still to come. */
  #left = 0

  get isBetween(): boolean {
    return this.#left === 0 && this.#head.length === 0
  }

  readonly pass = (chunk: Uint8Array): void => {
    for (let at = 0; at < chunk.length;) {
      if (this.#left > 0) {
        const n = Math.min(this.#left, chunk.length - at)
        this.#left -= n
        at += n
        continue
      }
      this.#head.push(chunk[at++] ?? 0)
      if (this.#head.length < headSize(this.#head)) continue
      this.#left = payloadSize(this.#head)
      this.#head = []
    }
  }
}

/** A frame that ends the connection with this code, as a server sends it. */
export const closeFrame = (code: number): Buffer => Buffer.from([0x88, 2, code >> 8, code & 255])

const lengthOf = (head: readonly number[]) => (head[1] ?? 0) & 127
const extraSize = (head: readonly number[]) => (lengthOf(head) < 126 ? 0 : lengthOf(head) === 126 ? 2 : 8)
/** A server masks nothing. */
const headSize = (head: readonly number[]) => 2 + extraSize(head)
const payloadSize = (head: readonly number[]) =>
  extraSize(head) === 0 ? lengthOf(head) : head.slice(2).reduce((sum, byte) => sum * 256 + byte, 0)
