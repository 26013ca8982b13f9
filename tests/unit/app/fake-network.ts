import * as decoding from 'lib0/decoding'
import * as encoding from 'lib0/encoding'
import * as syncProtocol from 'y-protocols/sync'
import { WebsocketProvider } from 'y-websocket'
import * as Y from 'yjs'
import {
  FRAME,
  readBarrier,
  readClock,
  readGeneration,
  writeBarrier,
  writeClock,
  writeSession,
} from '@/lib/sync/frames'
import type { SessionState } from '@/lib/sync/states'
import type { ProviderFactory, RoomProvider } from '@/app/sync/room-provider'

/** A socket of the fake network: what is sent waits until the test delivers it. */
class FakeSocket {
  static readonly OPEN = 1
  readonly OPEN = 1
  readyState = 0
  binaryType = 'arraybuffer'
  onopen: (() => void) | null = null
  onmessage: ((e: { data: Uint8Array }) => void) | null = null
  onclose: ((e: { code: number; reason: string }) => void) | null = null
  onerror: ((e: unknown) => void) | null = null
  toServer: Uint8Array[] = []
  toClient: Uint8Array[] = []
  /** How many bytes of document updates the client pushed of its own accord. */
  pushed = 0
  constructor(
    readonly room: FakeRoom,
    readonly network: FakeNetwork,
  ) {}
  send(data: Uint8Array) {
    if (this.readyState !== 1) return
    this.toServer.push(new Uint8Array(data))
    const d = decoding.createDecoder(data)
    if (decoding.readVarUint(d) === FRAME.sync && decoding.readVarUint(d) === syncProtocol.messageYjsUpdate)
      this.pushed += data.byteLength
  }
  close() {
    this.readyState = 3
    this.network.sockets.delete(this)
  }
}

/** One room of a server that acknowledges like ours: a barrier is answered once everything before it is in `doc`. */
export class FakeRoom {
  doc = new Y.Doc()
  /** False: barriers stay unanswered, as while a commit fails. */
  answers = true
  barriers: { epoch: number; n: number }[] = []
  /** What phones said that they hold [S23]. */
  generations: string[] = []
  /** What phones said of themselves, as awareness updates. */
  present: Uint8Array[] = []
  constructor(readonly name: string) {}
}

/** Sockets between phones and a server in one process; nothing moves until `settle`. */
export class FakeNetwork {
  readonly rooms = new Map<string, FakeRoom>()
  readonly sockets = new Set<FakeSocket>()
  readonly providers = new Set<RoomProvider>()
  up = true
  /** False: a socket neither opens nor fails, as when packets get lost. */
  answersTheDoor = true
  session: SessionState | null = null

  room(name: string): FakeRoom {
    let room = this.rooms.get(name)
    if (!room) this.rooms.set(name, (room = new FakeRoom(name)))
    return room
  }

  /** The stock provider over this network. */
  readonly createProvider: ProviderFactory = (roomName, doc) => {
    const open = () => this.#open(roomName)
    const Polyfill = function () {
      return open()
    } as unknown as typeof WebSocket
    const provider = new WebsocketProvider('ws://board', roomName, doc, {
      connect: false,
      disableBc: true,
      WebSocketPolyfill: Polyfill,
    }) as unknown as RoomProvider
    this.providers.add(provider)
    return provider
  }

  #open(roomName: string): FakeSocket {
    const socket = new FakeSocket(this.room(roomName), this)
    this.sockets.add(socket)
    queueMicrotask(() => {
      if (!this.answersTheDoor) return
      if (!this.up) return socket.onclose?.({ code: 1006, reason: '' })
      socket.readyState = 1
      if (this.session) socket.toClient.push(writeSession(this.session))
      const step1 = encoding.createEncoder()
      encoding.writeVarUint(step1, FRAME.sync)
      syncProtocol.writeSyncStep1(step1, socket.room.doc)
      socket.toClient.push(encoding.toUint8Array(step1))
      socket.onopen?.()
    })
    return socket
  }

  /** Deliver everything both ways until nothing moves. */
  async settle(): Promise<void> {
    for (let quiet = 0; quiet < 6;) {
      // A few turns of the event loop let IndexedDB and microtasks of the code under test run.
      await new Promise((resolve) => setImmediate(resolve))
      quiet = this.step() ? 0 : quiet + 1
    }
  }

  /** Deliver what is under way right now, once. @returns whether anything was. */
  step(): boolean {
    let moved = false
    for (const socket of [...this.sockets]) {
      for (const data of socket.toServer.splice(0)) {
        moved = true
        this.#serve(socket, data)
      }
      for (const data of socket.toClient.splice(0)) {
        moved = true
        socket.onmessage?.({ data })
      }
    }
    return moved
  }

  #serve(socket: FakeSocket, data: Uint8Array) {
    const { room } = socket
    const d = decoding.createDecoder(data)
    const type = decoding.readVarUint(d)
    if (type === FRAME.sync) {
      const reply = encoding.createEncoder()
      encoding.writeVarUint(reply, FRAME.sync)
      const before = Y.encodeStateVector(room.doc)
      syncProtocol.readSyncMessage(d, reply, room.doc, socket)
      if (encoding.length(reply) > 1) socket.toClient.push(encoding.toUint8Array(reply))
      const update = Y.encodeStateAsUpdate(room.doc, before)
      for (const other of this.sockets)
        if (other !== socket && other.room === room && other.readyState === 1) {
          const e = encoding.createEncoder()
          encoding.writeVarUint(e, FRAME.sync)
          syncProtocol.writeUpdate(e, update)
          other.toClient.push(encoding.toUint8Array(e))
        }
    } else if (type === FRAME.barrier) {
      const barrier = readBarrier(d)
      room.barriers.push(barrier)
      if (room.answers) socket.toClient.push(writeBarrier(barrier))
    } else if (type === FRAME.generation) {
      room.generations.push(readGeneration(d))
    } else if (type === FRAME.awareness) {
      room.present.push(decoding.readVarUint8Array(d))
    } else if (type === FRAME.clock) {
      const probe = readClock(d)
      socket.toClient.push(writeClock({ ...probe, serverMs: Date.now() }))
    }
  }

  /** Cut every socket; what was under way is lost. */
  cut(code = 1006, reason = ''): void {
    for (const socket of [...this.sockets]) {
      socket.readyState = 3
      this.sockets.delete(socket)
      socket.onclose?.({ code, reason })
    }
  }

  /** Every provider opens a socket now instead of after its back-off. */
  reconnect(): void {
    this.up = true
    for (const p of this.providers) p.connect()
  }

  close(): void {
    this.providers.forEach((p) => p.destroy())
  }
}
