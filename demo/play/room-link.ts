import * as decoding from 'lib0/decoding'
import WebSocket from 'ws'
import { WebsocketProvider } from 'y-websocket'
import { messageYjsSyncStep1 } from 'y-protocols/sync'
import type * as Y from 'yjs'
import {
  FRAME,
  readBarrier,
  readRejection,
  readRoomState,
  readSession,
  writeBarrier,
} from '@/lib/sync/frames'

/** How long the server may take to keep what was sent, ms. */
const PATIENCE_MS = 20_000

/** One document's socket: the stock provider, and the frames that say what is kept and what was not taken. */
export class RoomLink {
  readonly refusals: string[] = []
  readonly #provider: WebsocketProvider
  readonly #waiting = new Map<number, () => void>()
  #epoch = 0
  #barriers = 0
  /** The server has asked for what this phone holds and was answered: only now does a barrier cover it. */
  #answered = false
  #wake: (() => void)[] = []

  constructor(origin: string, room: string, doc: Y.Doc, cookie: string) {
    this.#provider = new WebsocketProvider(`${origin.replace(/^http/, 'ws')}/sync`, room, doc, {
      WebSocketPolyfill: socketWith({ Cookie: cookie, Origin: origin }),
      // Phones of one process must meet through the server only.
      disableBc: true,
      connect: false,
    })
    const provider = this.#provider
    const handlers = provider.messageHandlers
    const stockSync = handlers[FRAME.sync]
    handlers[FRAME.sync] = (encoder, decoder, p, emitSynced, type) => {
      const kind = decoding.peekVarUint(decoder)
      stockSync?.(encoder, decoder, p, emitSynced, type)
      // The provider sends the answer right after this handler has returned.
      if (kind === messageYjsSyncStep1)
        queueMicrotask(() => {
          this.#answered = true
          this.#changed()
        })
    }
    handlers[FRAME.barrier] = (_encoder, decoder) => {
      const { epoch, n } = readBarrier(decoder)
      if (epoch !== this.#epoch) return
      this.#waiting.get(n)?.()
      this.#waiting.delete(n)
    }
    handlers[FRAME.rejection] = (_encoder, decoder) => {
      const r = readRejection(decoder)
      const path = r.path ? `${r.path.collection}/${r.path.recordId}/${r.path.field}` : room
      this.refusals.push(`${path}: ${r.reason}`)
    }
    handlers[FRAME.roomState] = (_encoder, decoder) => {
      const s = readRoomState(decoder)
      if (s.state === 'read-only') this.refusals.push(`${room} is read-only: ${s.reason}`)
    }
    handlers[FRAME.session] = (_encoder, decoder) => {
      const s = readSession(decoder)
      if (s.state === 'revoked') this.refusals.push(`${room}: ${s.reason}`)
    }
    handlers[FRAME.clock] = handlers[FRAME.resync] = () => undefined
    provider.on('status', ({ status }) => {
      if (status === 'connected') this.#epoch += 1
      if (status !== 'connected') this.#answered = false
      this.#changed()
    })
    provider.on('sync', () => this.#changed())
    provider.on('closed', ({ code, reason }) => this.refusals.push(`${room} was closed: ${code} ${reason}`))
  }

  connect(): void {
    this.#provider.connect()
  }
  disconnect(): void {
    this.#provider.disconnect()
  }

  /** Resolves once everything sent so far is on the server's disk. @throws when that takes too long. */
  async saved(): Promise<void> {
    const until = Date.now() + PATIENCE_MS
    await this.#until(() => this.#provider.synced && this.#answered, until)
    const n = ++this.#barriers
    const kept = new Promise<void>((resolve) => this.#waiting.set(n, resolve))
    this.#provider.ws?.send(new Uint8Array(writeBarrier({ epoch: this.#epoch, n })))
    await this.#inTime(kept, until)
  }

  close(): void {
    this.#provider.destroy()
    // The provider leaves its awareness, and that one's timer, to whoever may still want it.
    this.#provider.awareness.destroy()
    this.#changed()
  }

  #changed(): void {
    for (const wake of this.#wake.splice(0)) wake()
  }
  async #until(holds: () => boolean, until: number): Promise<void> {
    while (!holds()) await this.#inTime(new Promise<void>((resolve) => this.#wake.push(resolve)), until)
  }
  async #inTime(happens: Promise<void>, until: number): Promise<void> {
    let timer: NodeJS.Timeout | undefined
    const late = new Promise<never>((_, reject) => {
      const fail = () => reject(new Error(`${this.#provider.roomname}: the server did not answer in time`))
      timer = setTimeout(fail, Math.max(0, until - Date.now()))
    })
    try {
      await Promise.race([happens, late])
    } finally {
      clearTimeout(timer)
    }
  }
}

/** The browser sends cookie and origin by itself; here they are given. */
function socketWith(headers: Record<string, string>): typeof globalThis.WebSocket {
  return class extends WebSocket {
    constructor(url: string | URL, protocols?: string | string[]) {
      super(url, protocols, { headers })
    }
  } as unknown as typeof globalThis.WebSocket
}
