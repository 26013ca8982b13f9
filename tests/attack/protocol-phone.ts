import * as decoding from 'lib0/decoding'
import * as encoding from 'lib0/encoding'
import WebSocket from 'ws'
import * as syncProtocol from 'y-protocols/sync'
import * as Y from 'yjs'
import { formatKey } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import {
  FRAME,
  readBarrier,
  readRejection,
  readRoomState,
  readSession,
  writeBarrier,
} from '@/lib/sync/frames'
import type { Rejection, RoomState, SessionState } from '@/lib/sync/states'

export interface PhoneOptions {
  /** The Cookie header; none for a stranger. */
  cookie?: string | undefined
  /** An address of this machine to come from, such as 127.0.0.9 (Linux answers for all of 127.0.0.0/8). */
  from?: string | undefined
  origin?: string | undefined
  /** The name that the server is asked for by, where it is not the one of the address. */
  host?: string | undefined
  /** Answer the server's questions as an honest phone does (default). False leaves every answer to the attack. */
  honest?: boolean
  doc?: Y.Doc
}

/** Frame of one message type whose body is written by `write`. */
export function rawFrame(type: number, write: (e: encoding.Encoder) => void): Uint8Array {
  const e = encoding.createEncoder()
  encoding.writeVarUint(e, type)
  write(e)
  return encoding.toUint8Array(e)
}
export const updateFrame = (update: Uint8Array): Uint8Array =>
  rawFrame(FRAME.sync, (e) => syncProtocol.writeUpdate(e, update))

/**
 * A socket that speaks the board's protocol and lets an attack send any bytes beside. It keeps a document, counts what it is sent, and never
 * comes back by itself.
 */
export class ProtocolPhone {
  readonly doc: Y.Doc
  readonly rejections: Rejection[] = []
  /** Frames received, by message type. */
  readonly frames = new Map<number, number>()
  bytesReceived = 0
  roomState: RoomState | null = null
  session: SessionState | null = null
  /** The close code (for a refused upgrade minus its HTTP status), null while open. */
  closeCode: number | null = null
  closeReason = ''
  readonly ws: WebSocket
  /** Resolves with the close code. */
  readonly closed: Promise<number>
  readonly #opened: Promise<boolean>
  readonly #synced: Promise<void>
  #isSynced: () => void = () => undefined
  #barriers = 0
  readonly #waiting = new Map<number, () => void>()

  constructor(
    url: string,
    { cookie, from, origin, host, honest = true, doc = new Y.Doc() }: PhoneOptions = {},
  ) {
    this.doc = doc
    this.ws = new WebSocket(url, {
      headers: { ...(cookie && { cookie }), ...(origin && { origin }), ...(host && { host }) },
      perMessageDeflate: false,
      ...(from && { localAddress: from }),
    })
    this.#synced = new Promise((resolve) => (this.#isSynced = resolve))
    this.#opened = new Promise((resolve) => {
      this.ws.once('open', () => resolve(true))
      this.ws.once('close', () => resolve(false))
    })
    this.closed = new Promise((resolve) => {
      this.ws.once('close', (code, reason) => {
        this.closeCode ??= code
        this.closeReason ||= reason.toString()
        resolve(this.closeCode)
      })
    })
    this.ws.on('unexpected-response', (req, res) => {
      this.closeCode = -(res.statusCode ?? 0)
      let body = ''
      res.on('data', (chunk: Buffer) => void (body += chunk.toString()))
      res.on('end', () => {
        this.closeReason = body
        this.ws.terminate()
      })
      res.on('error', () => this.ws.terminate())
      req.on('error', () => undefined)
    })
    this.ws.on('error', () => undefined)
    if (honest) {
      this.ws.on('open', () =>
        this.send(rawFrame(FRAME.sync, (e) => syncProtocol.writeSyncStep1(e, this.doc))),
      )
      this.doc.on('update', (update: Uint8Array, from: unknown) => {
        if (from !== this) this.send(updateFrame(update))
      })
    }
    this.ws.on('message', (data: Buffer) => this.#receive(data, honest))
  }

  /** Whether the upgrade was granted. */
  opened(): Promise<boolean> {
    return this.#opened
  }
  /** The board is here, and the server's question is answered. False when the socket ended before. */
  synced(): Promise<boolean> {
    return Promise.race([this.#synced.then(() => true), this.closed.then(() => false)])
  }
  get open(): boolean {
    return this.ws.readyState === WebSocket.OPEN
  }

  send(data: Uint8Array): void {
    if (this.open) this.ws.send(data)
  }

  /** Write one field of the own document; an honest phone sends it. */
  set(collection: string, recordId: string, field: string, value: Json): void {
    this.doc.getMap(collection).set(formatKey(recordId, field), value)
  }
  get(collection: string, recordId: string, field: string): unknown {
    return this.doc.getMap(collection).get(formatKey(recordId, field))
  }

  /** How long until everything sent before is on disk, ms; null when that is not said within `timeoutMs`. */
  barrier(timeoutMs = 10_000): Promise<number | null> {
    const n = ++this.#barriers
    const start = performance.now()
    return new Promise((resolve) => {
      const settle = (answer: number | null) => {
        clearTimeout(timer)
        this.#waiting.delete(n)
        resolve(answer)
      }
      const timer = setTimeout(() => settle(null), timeoutMs)
      this.#waiting.set(n, () => settle(performance.now() - start))
      if (!this.open) return settle(null)
      this.send(writeBarrier({ epoch: 1, n }))
    })
  }

  close(): void {
    for (const answered of [...this.#waiting.keys()]) this.#waiting.delete(answered)
    this.ws.terminate()
    this.doc.destroy()
  }

  #receive(data: Buffer, honest: boolean): void {
    const d = decoding.createDecoder(data)
    this.bytesReceived += data.length
    const type = decoding.readVarUint(d)
    this.frames.set(type, (this.frames.get(type) ?? 0) + 1)
    switch (type) {
      case FRAME.sync: {
        if (!honest) return
        const question = decoding.peekVarUint(d) === syncProtocol.messageYjsSyncStep1
        const answer = decoding.peekVarUint(d) === syncProtocol.messageYjsSyncStep2
        const e = encoding.createEncoder()
        encoding.writeVarUint(e, FRAME.sync)
        syncProtocol.readSyncMessage(d, e, this.doc, this, (error) => {
          throw error
        })
        if (question) this.send(encoding.toUint8Array(e))
        // The server asks before it answers, so that by now its question is answered as well.
        if (answer) this.#isSynced()
        return
      }
      case FRAME.barrier: {
        const { n } = readBarrier(d)
        // The newest answer covers all earlier barriers.
        for (const [earlier, answered] of [...this.#waiting]) if (earlier <= n) answered()
        return
      }
      case FRAME.rejection:
        return void this.rejections.push(readRejection(d))
      case FRAME.roomState:
        return void (this.roomState = readRoomState(d))
      case FRAME.session:
        return void (this.session = readSession(d))
      default:
    }
  }
}
