import { Duplex } from 'node:stream'
import type { Actor, SimulatedTime } from './simulated-time'

/** One end of a line, as whoever sits there sees it. */
export interface LineEnd {
  readonly actor: Actor
  receive(bytes: Buffer): void
  /** Nothing comes any more. */
  gone(): void
}

/** How the network is at the moment. */
export interface NetworkWeather {
  /** ms on the way, drawn anew for each piece: lines overtake each other, and no line overtakes itself. */
  delay: () => number
}

interface Lane {
  lastAt: number
  /** What is on the way, in order. */
  flying: { bytes: Buffer; due: { isOff: boolean } | null }[]
  size: number
  drained: (() => void)[]
}

/** So many bytes are taken by the network before it makes the sender wait. */
const WINDOW = 512

/** A connection between two ends: bytes in order, late, in pieces; silent for a while or for good; cut anywhere, in the middle of a frame too. */
export class SimulatedLine {
  readonly #lanes: [Lane, Lane] = [lane(), lane()]
  readonly #ends: [LineEnd | null, LineEnd | null] = [null, null]
  isSilent = false
  isDown = false

  constructor(
    readonly time: SimulatedTime,
    readonly weather: NetworkWeather,
    readonly onDown: (line: SimulatedLine) => void = () => undefined,
  ) {}

  seat(side: 0 | 1, end: LineEnd): void {
    this.#ends[side] = end
  }

  /** @param drained called when the network takes more; at once where it does */
  send(side: 0 | 1, bytes: Buffer, drained: () => void = () => undefined): void {
    if (this.isDown || this.#ends[side] === null) return drained()
    const lane = this.#lanes[side]
    const last = lane.flying.at(-1)
    lane.size += bytes.length
    // Now and then what was sent one after the other arrives at once.
    if (last?.due && this.time.random.chance(0.5)) last.bytes = Buffer.concat([last.bytes, bytes])
    else {
      const piece = { bytes, due: null }
      lane.flying.push(piece)
      if (!this.isSilent) this.#fly(side, piece)
    }
    if (lane.size <= WINDOW) drained()
    else lane.drained.push(drained)
  }

  /** Everything stays open and nothing comes, until it speaks again or is cut. */
  silence(): void {
    this.isSilent = true
    for (const lane of this.#lanes)
      for (const piece of lane.flying) {
        if (piece.due) piece.due.isOff = true
        piece.due = null
      }
  }
  speak(): void {
    if (!this.isSilent || this.isDown) return
    this.isSilent = false
    if (this.#ends.includes(null)) return this.cut()
    for (const side of [0, 1] as const) for (const piece of this.#lanes[side].flying) this.#fly(side, piece)
  }

  /** Both ends learn it; of what was on the way some arrives, down to half a frame. */
  cut(): void {
    if (this.isDown) return
    for (const side of [0, 1] as const) {
      const { flying } = this.#lanes[side]
      const all = Buffer.concat(flying.map((p) => p.bytes))
      for (const p of flying) if (p.due) p.due.isOff = true
      const part = all.subarray(0, this.time.random.below(all.length + 1))
      const end = this.#ends[side === 0 ? 1 : 0]
      if (!end) continue
      end.actor.soon(() => {
        if (part.length > 0) end.receive(Buffer.from(part))
        end.gone()
      }, this.weather.delay())
    }
    this.#down()
  }

  /** One end's machine is gone and says nothing: the other end finds a line that is open and silent. */
  die(side: 0 | 1): void {
    if (this.isDown) return
    this.silence()
    this.#ends[side] = null
  }

  /** One end has gone, and says so where the line still speaks. */
  leave(side: 0 | 1): void {
    if (this.isDown) return
    const end = this.#ends[side === 0 ? 1 : 0]
    this.#ends[side] = null
    if (!end) return this.#down()
    if (this.isSilent) return
    const lane = this.#lanes[side]
    const at = Math.max(lane.lastAt, this.time.now + this.weather.delay())
    this.time.after(
      at - this.time.now,
      () => {
        if (this.isDown) return
        if (this.isSilent) return
        this.#down()
        end.gone()
      },
      end.actor,
    )
  }

  #down(): void {
    this.isDown = true
    for (const lane of this.#lanes) {
      lane.flying.length = 0
      for (const drained of lane.drained.splice(0)) drained()
    }
    this.onDown(this)
  }

  #fly(side: 0 | 1, piece: { bytes: Buffer; due: { isOff: boolean } | null }): void {
    const lane = this.#lanes[side]
    const end = this.#ends[side === 0 ? 1 : 0]
    if (!end) return
    lane.lastAt = Math.max(lane.lastAt, this.time.now + this.weather.delay())
    const arrive = () => {
      if (this.isDown || this.isSilent) return
      const at = lane.flying.indexOf(piece)
      if (at >= 0) lane.flying.splice(at, 1)
      lane.size -= piece.bytes.length
      if (lane.size <= WINDOW) {
        const waiting = lane.drained.splice(0)
        const sender = this.#ends[side]
        if (waiting.length > 0 && sender) sender.actor.soon(() => waiting.forEach((go) => go()))
      }
      end.receive(piece.bytes)
    }
    piece.due = this.time.after(lane.lastAt - this.time.now, arrive, end.actor)
  }
}

const lane = (): Lane => ({ lastAt: 0, flying: [], size: 0, drained: [] })

/** An end of a line as Node's servers know sockets. */
export class StreamEnd extends Duplex implements LineEnd {
  /** Told of everything that is written, before it leaves. */
  onWrite: (bytes: Uint8Array) => void = () => undefined
  readonly remoteAddress = '192.0.2.7'

  constructor(
    readonly actor: Actor,
    readonly line: SimulatedLine,
    readonly side: 0 | 1,
  ) {
    super({ allowHalfOpen: false })
    line.seat(side, this)
    this.on('error', () => undefined)
  }
  receive(bytes: Buffer): void {
    if (!this.destroyed) this.push(bytes)
  }
  gone(): void {
    this.destroy()
  }
  override _read(): void {
    // Whatever comes is pushed.
  }
  // When it is handed over, however long it then waits for the network.
  override write(...args: unknown[]): boolean {
    if (args[0] instanceof Uint8Array) this.onWrite(args[0])
    return super.write(...(args as [Buffer]))
  }
  override _write(bytes: Buffer, _encoding: BufferEncoding, done: () => void): void {
    this.line.send(this.side, Buffer.from(bytes), done)
  }
  override _writev(chunks: { chunk: Buffer }[], done: () => void): void {
    this._write(Buffer.concat(chunks.map((c) => c.chunk)), 'binary', done)
  }
  override _final(done: () => void): void {
    this.line.leave(this.side)
    done()
  }
  override _destroy(_e: Error | null, done: (e: null) => void): void {
    this.line.leave(this.side)
    done(null)
  }
}
