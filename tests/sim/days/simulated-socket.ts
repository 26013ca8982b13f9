import type { Actor } from './simulated-time'
import type { LineEnd, SimulatedLine } from './simulated-line'

/** Reads a server's websocket frames (RFC 6455, section 5.2) out of bytes that come in any pieces. */
class FrameReader {
  #rest: Buffer = Buffer.alloc(0)
  #isOpen = false

  constructor(
    readonly onHead: (isOpen: boolean) => void,
    readonly onFrame: (opcode: number, payload: Buffer) => void,
  ) {}

  read(bytes: Buffer): void {
    this.#rest = Buffer.concat([this.#rest, bytes])
    if (!this.#isOpen) {
      const end = this.#rest.indexOf('\r\n\r\n')
      if (end < 0) return
      const head = this.#rest.subarray(0, end).toString('latin1')
      this.#rest = this.#rest.subarray(end + 4)
      this.#isOpen = head.startsWith('HTTP/1.1 101')
      this.onHead(this.#isOpen)
      if (!this.#isOpen) return
    }
    for (;;) {
      const b = this.#rest
      if (b.length < 2) return
      const short = (b[1] ?? 0) & 127
      const extra = short < 126 ? 0 : short === 126 ? 2 : 8
      if (b.length < 2 + extra) return
      const length = extra === 0 ? short : extra === 2 ? b.readUInt16BE(2) : Number(b.readBigUInt64BE(2))
      if (b.length < 2 + extra + length) return
      const payload = b.subarray(2 + extra, 2 + extra + length)
      this.#rest = b.subarray(2 + extra + length)
      this.onFrame((b[0] ?? 0) & 15, payload)
    }
  }
}

/** A client's frame. Its mask is all zeros, which changes nothing. */
function frameOf(opcode: number, payload: Uint8Array): Buffer {
  const { length } = payload
  const extra = length < 126 ? 0 : length < 65_536 ? 2 : 8
  const frame = Buffer.alloc(2 + extra + 4 + length)
  frame[0] = 0x80 | opcode
  frame[1] = 0x80 | (extra === 0 ? length : extra === 2 ? 126 : 127)
  if (extra === 2) frame.writeUInt16BE(length, 2)
  if (extra === 8) frame.writeBigUInt64BE(BigInt(length), 2)
  frame.set(payload, 6 + extra)
  return frame
}

const [BINARY, CLOSE, PING, PONG] = [2, 8, 9, 10]

/** What a page's socket needs of the phone that it is on. */
export interface SocketPlace {
  readonly actor: Actor
  /** Call a server; null where nobody can be reached. */
  dial(url: string, end: LineEnd): SimulatedLine | null
  /** The page is gone: nothing of it acts any more. */
  readonly isGone: boolean
  heard(payload: Buffer): void
}

/** The browser's WebSocket over a simulated line, as far as the stock provider uses it. */
export class SimulatedSocket implements LineEnd {
  static readonly CONNECTING = 0
  static readonly OPEN = 1
  readonly OPEN = 1
  binaryType = 'arraybuffer'
  readyState = 0
  onopen: (() => void) | null = null
  onmessage: ((e: { data: ArrayBuffer }) => void) | null = null
  onclose: ((e: { code: number; reason: string }) => void) | null = null
  onerror: ((e: unknown) => void) | null = null
  readonly #place: SocketPlace
  readonly #line: SimulatedLine | null
  readonly #reader: FrameReader
  readonly actor: Actor
  #ending = { code: 1006, reason: '' }

  constructor(place: SocketPlace, url: string) {
    this.#place = place
    this.actor = place.actor
    this.#reader = new FrameReader(
      (isOpen) => {
        if (!isOpen) return this.#fail()
        this.readyState = 1
        this.onopen?.()
      },
      (opcode, payload) => this.#frame(opcode, payload),
    )
    this.#line = place.dial(url, this)
    if (!this.#line) place.actor.soon(() => this.#fail(), 5)
  }

  send(data: Uint8Array): void {
    if (this.readyState === 1 && !this.#place.isGone) this.#line?.send(0, frameOf(BINARY, data))
  }
  close(): void {
    if (this.readyState >= 2) return
    if (this.readyState === 1 && !this.#place.isGone)
      this.#line?.send(0, frameOf(CLOSE, Buffer.from([3, 0xe8])))
    this.readyState = 2
    if (!this.#place.isGone) this.#line?.leave(0)
  }

  receive(bytes: Buffer): void {
    if (!this.#place.isGone && this.readyState < 3) this.#reader.read(bytes)
  }
  gone(): void {
    if (this.#place.isGone || this.readyState === 3) return
    if (this.readyState === 0) return this.#fail()
    this.readyState = 3
    this.onclose?.(this.#ending)
  }

  #fail(): void {
    if (this.#place.isGone || this.readyState === 3) return
    this.readyState = 3
    this.onerror?.({ type: 'error' })
    this.onclose?.({ code: 1006, reason: '' })
  }
  #frame(opcode: number, payload: Buffer): void {
    if (this.readyState >= 2) return
    if (opcode === BINARY) {
      this.#place.heard(payload)
      this.onmessage?.({ data: Uint8Array.from(payload).buffer })
    } else if (opcode === PING) this.#line?.send(0, frameOf(PONG, payload))
    else if (opcode === CLOSE) {
      const code = payload.length >= 2 ? payload.readUInt16BE(0) : 1005
      this.#ending = { code, reason: payload.subarray(2).toString() }
      this.#line?.send(0, frameOf(CLOSE, payload.subarray(0, 2)))
      this.#line?.leave(0)
      this.readyState = 3
      this.onclose?.(this.#ending)
    }
  }
}
