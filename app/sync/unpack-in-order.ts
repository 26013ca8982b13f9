import * as decoding from 'lib0/decoding'
import { FRAME, readPacked } from '@/lib/sync/frames'

/** What is used of a `WebSocket`. */
export interface Line extends EventTarget {
  readonly readyState: number
  close(): void
}

const OPEN = 1

/**
 * [S28] Have a socket's packed frames unpacked before anybody hears of them. Unpacking takes a moment, and what comes meanwhile waits: frames are heard
 * in the order in which they came, or, where the line ends first, not at all. A frame that can't be unpacked ends the line, since all that comes after
 * it rests on it; the next line brings it anew. Must be called before anybody listens.
 */
export function unpackInOrder(line: Line): void {
  /** What is still to be heard, in order; null is a frame that can't be unpacked. */
  const waiting: { data: Promise<unknown> }[] = []
  let isPassingOn = false

  const passOn = async () => {
    for (let next = waiting[0]; next; next = waiting[0]) {
      const data = await next.data
      waiting.shift()
      if (data === null) line.close()
      if (line.readyState !== OPEN) continue
      isPassingOn = true
      line.dispatchEvent(new MessageEvent('message', { data }))
      isPassingOn = false
    }
  }

  line.addEventListener('message', (event) => {
    if (isPassingOn) return
    const { data } = event as MessageEvent<unknown>
    const packed = isPacked(data)
    if (!packed && waiting.length === 0) return
    event.stopImmediatePropagation()
    // Caught at once: by its turn the browser would have called it nobody's.
    waiting.push({ data: packed ? unpack(data).catch(() => null) : Promise.resolve(data) })
    if (waiting.length === 1) void passOn()
  })
}

const isPacked = (data: unknown): data is ArrayBuffer =>
  data instanceof ArrayBuffer && new Uint8Array(data, 0, Math.min(1, data.byteLength))[0] === FRAME.packed

async function unpack(frame: ArrayBuffer): Promise<ArrayBuffer> {
  const decoder = decoding.createDecoder(new Uint8Array(frame))
  decoding.readVarUint(decoder)
  const packed = new Blob([readPacked(decoder) as BlobPart])
  return new Response(packed.stream().pipeThrough(new DecompressionStream('deflate'))).arrayBuffer()
}
