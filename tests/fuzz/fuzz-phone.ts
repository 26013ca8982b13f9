import * as decoding from 'lib0/decoding'
import * as encoding from 'lib0/encoding'
import WebSocket from 'ws'
import * as syncProtocol from 'y-protocols/sync'
import * as Y from 'yjs'
import { exportDoc, formatKey } from '@/lib/board'
import { FRAME, readBarrier, readRejection, readRoomState, writeBarrier, writeClock } from '@/lib/sync/frames'
import type { Rejection, RoomState } from '@/lib/sync/states'

/** The text field that the fuzz writes by way of allowed work; everybody but guests may. */
export const OWN = { collection: 'notes', field: 'about' } as const

interface Write {
  value: string
  /** Whether it was taken: `open` until then, `lost` when it was refused or overwritten by the same phone before it was judged. */
  state: 'open' | 'saved' | 'lost'
  /** Of its item, under the phone's clientID. */
  clock: number
}

/**
 * A phone under fuzz: the stock protocol over a real socket, a barrier after edits, and a memory of what the server acknowledged. Keys
 * that start with its name are written by nobody else, so an acknowledged value must be there later, or a newer one of its own.
 */
export class FuzzPhone {
  doc = new Y.Doc()
  /** What this phone saw that it never should have. */
  readonly leaks: string[] = []
  readonly rejections: Rejection[] = []
  readonly closes: number[] = []
  /** What it was told of its room, oldest first. */
  readonly roomStates: RoomState[] = []
  acknowledged = 0
  /** `key value` of everything of others that it was shown in keys of its own kind. */
  readonly seen = new Set<string>()
  /** What the server has sent so far, all lines together. */
  frames = 0
  /** While true, updates are held back and sent in the wrong order. */
  scrambling = false
  #ws: WebSocket | null = null
  #epoch = 0
  #barrier = 0
  #armed = false
  #held: Uint8Array[] = []
  readonly #waiting = new Map<number, Map<string, number>>()
  readonly #writes = new Map<string, Write[]>()
  #count = 0
  #answers = 0
  #heard: (() => void)[] = []

  constructor(
    readonly name: string,
    public cookie: string,
    public url: string,
  ) {
    this.#listen()
  }

  #listen(): void {
    this.doc.on('update', (update: Uint8Array, origin: unknown, _doc: Y.Doc, tr: Y.Transaction) => {
      if (origin === this) return this.#look(tr)
      if (this.scrambling) this.#held.push(update)
      else this.#sendUpdate(update)
    })
  }

  get open(): boolean {
    return this.#ws?.readyState === WebSocket.OPEN
  }
  /** The server has answered on this line, so that what is sent now counts. */
  get takesEdits(): boolean {
    return this.open && this.#armed
  }
  get connected(): boolean {
    return this.#ws !== null
  }
  get unanswered(): number {
    return this.#waiting.size
  }

  connect(): void {
    if (this.#ws) return
    const ws = new WebSocket(this.url, { headers: { cookie: this.cookie }, perMessageDeflate: false })
    this.#ws = ws
    this.#epoch++
    ws.on('open', () => {
      if (this.#ws === ws) this.send(this.#frame(FRAME.sync, (e) => syncProtocol.writeSyncStep1(e, this.doc)))
    })
    ws.on('message', (data: Buffer) => {
      if (this.#ws === ws) this.#receive(data)
    })
    ws.on('error', () => undefined)
    ws.on('close', (code) => {
      this.closes.push(code)
      if (this.#ws === ws) this.#gone()
    })
  }

  disconnect(): void {
    const ws = this.#ws
    this.#gone()
    ws?.terminate()
  }

  /** The line hangs: nothing is read, nothing breaks. */
  hang(on: boolean): void {
    if (!this.#ws) return
    if (on) this.#ws.pause()
    else this.#ws.resume()
  }

  send(data: Uint8Array): void {
    if (this.#ws?.readyState === WebSocket.OPEN) this.#ws.send(data)
  }

  /** Write the next value into one of this phone's own keys. */
  editOwn(slot: number): void {
    this.#set(OWN.collection, formatKey(`${this.name}-${slot}`, OWN.field), `${this.name}#${++this.#count}`)
  }
  editShared(slot: number): void {
    this.#set(OWN.collection, formatKey(`shared-${slot}`, OWN.field), `${this.name}#${++this.#count}`)
  }
  /** A value that nobody else may ever see. */
  editForbidden(collection: string, recordId: string, field: string): void {
    this.#set(collection, formatKey(recordId, field), `!${this.name}#${++this.#count}`)
  }
  deleteKey(collection: string, key: string): void {
    this.doc.getMap(collection).delete(key)
  }
  together(edits: () => void): void {
    this.doc.transact(edits)
  }

  /** Send what was held back, in any order. */
  release(shuffle: (updates: Uint8Array[]) => Uint8Array[]): void {
    this.scrambling = false
    for (const update of shuffle(this.#held.splice(0))) this.#sendUpdate(update)
  }

  /** [S8] Ask whether everything so far is on disk. */
  askBarrier(): void {
    if (!this.#armed || !this.open || this.#held.length > 0) return
    const n = ++this.#barrier
    this.#waiting.set(n, new Map([...this.#writes].map(([key, writes]) => [key, writes.length])))
    this.send(writeBarrier({ epoch: this.#epoch, n }))
  }

  /** Whether a barrier was answered since the last reset. */
  hasAnswer(): boolean {
    return this.#answers > 0
  }
  describe(): string {
    const last = this.rejections.at(-1)
    return `${this.open ? 'open' : 'closed'}, ${this.#armed ? 'armed' : 'not armed'}, ${this.unanswered} unanswered, ${this.#held.length} held, closes ${this.closes.slice(-5).join(' ')}, last refusal ${JSON.stringify(last ?? null)}`
  }
  resetAnswer(): void {
    this.#answers = 0
  }

  /** Resolves when the server has read everything sent so far, or the line is gone. */
  heard(): Promise<void> {
    if (!this.open) return Promise.resolve()
    return new Promise((resolve) => {
      this.#heard.push(resolve)
      this.send(writeClock({ clientMs: 0, serverMs: null }))
    })
  }

  /** The newest acknowledged value's number per own key. */
  saved(): Map<string, number> {
    const out = new Map<string, number>()
    for (const [key, writes] of this.#writes) {
      if (!key.startsWith(`${this.name}-`)) continue
      const last = writes.findLast((w) => w.state === 'saved')
      if (last) out.set(key, numberOf(last.value))
    }
    return out
  }

  board(kind: 'kit' | 'meeting' = 'meeting'): string {
    return JSON.stringify(exportDoc(kind, this.doc))
  }

  destroy(): void {
    this.disconnect()
    this.doc.destroy()
  }

  #set(collection: string, key: string, value: string): void {
    if (collection === OWN.collection) {
      const writes = this.#writes.get(key) ?? []
      writes.push({ value, state: 'open', clock: Y.getState(this.doc.store, this.doc.clientID) })
      this.#writes.set(key, writes)
    }
    this.doc.getMap(collection).set(key, value)
  }

  #sendUpdate(update: Uint8Array): void {
    this.send(this.#frame(FRAME.sync, (e) => syncProtocol.writeUpdate(e, update)))
  }

  #receive(data: Buffer): void {
    this.frames++
    const d = decoding.createDecoder(data)
    switch (decoding.readVarUint(d)) {
      case FRAME.sync: {
        // Not even the bytes may hold a forbidden value of somebody else's.
        const [, whose] = /!(\w+)#/.exec(data.toString('latin1')) ?? []
        if (whose !== undefined && whose !== this.name)
          this.leaks.push(`${this.name} was sent a value of ${whose}`)
        const question = decoding.peekVarUint(d) === syncProtocol.messageYjsSyncStep1
        const e = encoding.createEncoder()
        encoding.writeVarUint(e, FRAME.sync)
        syncProtocol.readSyncMessage(d, e, this.doc, this, (error) => {
          throw error
        })
        if (encoding.length(e) > 1) this.send(encoding.toUint8Array(e))
        if (!question) return
        // The answer held everything, in one piece.
        this.#held = []
        this.#armed = true
        return this.askBarrier()
      }
      case FRAME.barrier:
        return this.#answered(readBarrier(d))
      case FRAME.rejection:
        return this.#rejected(readRejection(d))
      case FRAME.roomState:
        return void this.roomStates.push(readRoomState(d))
      case FRAME.clock:
        return this.#heard.shift()?.()
      default:
    }
  }

  #answered({ epoch, n }: { epoch: number; n: number }): void {
    const covered = this.#waiting.get(n)
    if (epoch !== this.#epoch || !covered) return
    this.#answers++
    for (const earlier of this.#waiting.keys()) if (earlier <= n) this.#waiting.delete(earlier)
    for (const [key, count] of covered)
      for (const w of (this.#writes.get(key) ?? []).slice(0, count)) {
        if (w.state !== 'open') continue
        w.state = 'saved'
        this.acknowledged++
      }
  }

  #rejected(r: Rejection): void {
    this.rejections.push(r)
    if (r.path === null) {
      this.#armed = false
      this.#waiting.clear()
      if (r.kind === 'anew') this.#startAnew()
      return
    }
    if (r.path.collection !== OWN.collection) return
    const writes = this.#writes.get(formatKey(r.path.recordId, r.path.field)) ?? []
    // A refused value takes with it the earlier ones of the same update, which it had overwritten before they were judged.
    const at = r.attempted === null ? writes.length - 1 : writes.findIndex((w) => w.value === r.attempted)
    for (const w of writes.slice(0, at + 1)) if (w.state === 'open') w.state = 'lost'
  }

  /** [S24] As a page does: the document goes, and with it what was never acknowledged (a page would make it anew). */
  #startAnew(): void {
    this.disconnect()
    this.doc.destroy()
    this.doc = new Y.Doc()
    for (const writes of this.#writes.values())
      for (const w of writes) {
        if (w.state === 'open') w.state = 'lost'
        w.clock = -1
      }
    this.#listen()
    this.connect()
  }

  #gone(): void {
    this.#ws = null
    for (const resolve of this.#heard.splice(0)) resolve()
    this.#armed = false
    this.#waiting.clear()
    this.#held = []
    this.scrambling = false
  }

  /** Look for forbidden values of others in what the server sent. */
  #look(tr: Y.Transaction): void {
    for (const [type, keys] of tr.changed)
      for (const key of keys) {
        const item = key === null ? undefined : type._map.get(key)
        if (key !== null && item && !item.deleted) this.#beaten(key, item)
        if (!item || item.deleted) continue
        const value = String(item.content.getContent().at(-1))
        // What stands under the key may be its own, allowed or not, over what the server sent.
        if (value.replace(/^!/, '').startsWith(`${this.name}#`)) continue
        if (key?.endsWith(`:${OWN.field}`) && value.includes('#')) this.seen.add(`${key} ${value}`)
        if (value.startsWith('!')) this.leaks.push(`${this.name} saw ${key} = ${value}`)
      }
  }

  /**
   * An incoming value took a key. Written upon this phone's own, it came from where that was seen and judged: then a refusal must have come
   * before it, or the value was saved. Written beside it, it won the merge here, and the server may never see the value.
   */
  #beaten(key: string, winner: Y.Item): void {
    const writes = this.#writes.get(key) ?? []
    const last = writes.at(-1)
    if (!last || winner.content.getContent().at(-1) === last.value) return
    const { origin } = winner
    if (origin?.client === this.doc.clientID && origin.clock === last.clock) return
    for (const w of writes) if (w.state === 'open') w.state = 'lost'
  }

  #frame(type: number, write: (e: encoding.Encoder) => void): Uint8Array {
    const e = encoding.createEncoder()
    encoding.writeVarUint(e, type)
    write(e)
    return encoding.toUint8Array(e)
  }
}

export const numberOf = (value: unknown): number => Number(String(value).split('#')[1] ?? NaN)
