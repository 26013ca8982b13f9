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
  const waiting: { data: Promise<unknown> }[] = []
  let isPassingOn = false

  const passOn = async () => {
    for (let next = waiting[0]; next; next = waiting[0]) {
      const data = await next.data.catch(() => null)
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
    const packed = packedIn(data)
    if (!packed && waiting.length === 0) return
    event.stopImmediatePropagation()
    waiting.push({ data: packed ? inflate(packed) : Promise.resolve(data) })
    if (waiting.length === 1) void passOn()
  })
}

function packedIn(data: unknown): Uint8Array | null {
  if (!(data instanceof ArrayBuffer)) return null
  const decoder = decoding.createDecoder(new Uint8Array(data))
  if (decoding.readVarUint(decoder) !== FRAME.packed) return null
  return readPacked(decoder)
}

function inflate(packed: Uint8Array): Promise<ArrayBuffer> {
  const stream = new Blob([packed as BlobPart]).stream().pipeThrough(new DecompressionStream('deflate'))
  return new Response(stream).arrayBuffer()
}
