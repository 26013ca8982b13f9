import type { IncomingMessage } from 'node:http'
import { DatabaseError } from '@/drizzle/database-error'
import { clientOf } from '@/drizzle/postgres/client'
import { newId } from '@/lib/core/id'
import { CLOSE } from '@/lib/sync/close-codes'
import { closeFrame, FrameEdges } from '@/server/peers/frame-edges'
import type { OpenedStore } from '@/server/storage/open-store'
import { takeBoard } from '@/server/storage/take-board'
import type { SyncServer } from '@/server/sync/sync-surface'
import { realTimers } from '@/server/sync/timers'
import { seedBoard, startCore, type BoardPlace, type ProcessWorld } from './board-process'
import { SimulatedPostgresLine, type SimulatedEngine } from './simulated-engine'
import { SimulatedLine, StreamEnd, type NetworkWeather } from './simulated-line'
import { Actor } from './simulated-time'

/** ms, those of the server's `BoardTurns` */
const LOOK_MS = 100
const AGAIN_MS = 50
const WAIT_MS = 4_000

export interface PeerWorld extends ProcessWorld {
  readonly engine: SimulatedEngine
  readonly weather: NetworkWeather
  readonly peers: readonly PeerProcess[]
}

interface Served {
  core: SyncServer
  opened: OpenedStore
}

/**
 * One process of several on one database. Whether it judges, and until when, is decided by the server's own code (`takeBoard`, `PostgresStore`,
 * `Tenure`); when it looks, and how it passes a phone on, is played here after `BoardTurns` and `Relay`, whose HTTPS between machines is not simulated.
 */
export class PeerProcess implements BoardPlace {
  actor: Actor
  /** The network between it and the engine. */
  isCutOff = false
  #isUp = false
  #served: Served | null = null
  #line: SimulatedPostgresLine | null = null
  readonly #lines = new Set<SimulatedLine>()
  readonly #relays = new Set<() => void>()
  #seenEpoch = -1
  #starts = 0

  constructor(
    readonly world: PeerWorld,
    readonly address: string,
  ) {
    this.actor = new Actor(world.time, address)
  }

  get isUp(): boolean {
    return this.#isUp
  }
  get owner(): string | null {
    return this.#line?.owner ?? null
  }
  cutOff(is: boolean): void {
    this.isCutOff = is
    if (this.#line) this.#line.isCut = is
  }

  start(): void {
    if (this.#isUp) return
    this.#isUp = true
    this.actor = new Actor(this.world.time, `${this.address} ${++this.#starts}`)
    this.actor.soon(() => realTimers.every(LOOK_MS, () => this.#look()))
  }

  crash(cut: boolean): void {
    if (!this.#isUp) return
    this.world.ledger.trace(`${this.actor.name} crashes`)
    this.#isUp = false
    this.actor.isDead = true
    this.#served = null
    this.#line = null
    for (const line of [...this.#lines]) {
      if (cut) line.cut()
      else line.die(1)
    }
    this.#lines.clear()
    this.#relays.clear()
  }

  /** [P1] The board, while it is this process that judges it. */
  get #board(): Served | null {
    const served = this.#served
    if (served === null || served.opened.holds?.() !== false) return served
    this.#lose()
    return null
  }

  #look(): void {
    if (this.isCutOff || this.world.engine.isDown) return
    const holder = this.world.engine.holder()
    if (this.#served) return
    if (holder && holder.epoch !== this.#seenEpoch) {
      this.#seenEpoch = holder.epoch
      this.#cutRelays()
    }
    if (!holder?.isThere) return this.#take(null)
    const other = this.world.peers.find((p) => p.address === holder.address)
    // Its machine says that nobody listens there.
    if (!other?.isUp || other.owner !== holder.owner) this.#take(holder.owner)
  }

  #take(dead: string | null): void {
    const { world, actor, address } = this
    const owner = newId<'owner'>()
    const line = new SimulatedPostgresLine(world.engine, owner, actor, () => this.crash(true))
    line.isCut = this.isCutOff
    const client = clientOf(line.asLine, owner)
    try {
      const opened = takeBoard(client, 'simulated', address, realTimers, dead, () => this.#lose())
      if (opened === null) return
      world.ledger.trace(`${actor.name} takes the board`)
      this.#line = line
      const core = startCore(world, opened.store, actor, opened.holds, () => client.check())
      this.#served = { core, opened }
      this.#cutRelays()
      seedBoard(core, actor)
    } catch (e) {
      if (!(e instanceof DatabaseError)) throw e
      world.ledger.trace(`${actor.name}: not taken, ${e.trouble}`)
    }
  }

  #lose(): void {
    const served = this.#served
    if (served === null) return
    this.world.ledger.trace(`${this.actor.name} has lost the board`)
    this.#served = null
    this.#line = null
    void served.core.close().then(() => {
      served.opened.stopTending()
      served.opened.store.close()
    })
  }

  accept(request: IncomingMessage, line: SimulatedLine): void {
    const end = new StreamEnd(this.actor, line, 1)
    this.#lines.add(line)
    this.#place(request, end, this.world.time.now + WAIT_MS)
  }

  #place(request: IncomingMessage, end: StreamEnd, until: number): void {
    if (end.destroyed) return
    const board = this.#board
    if (board) {
      const isMine = this.#line
      end.onWrite = (bytes) => this.#shows(bytes, isMine)
      return board.core.handleUpgrade(request, end, Buffer.alloc(0))
    }
    const holder = this.isCutOff || this.world.engine.isDown ? null : this.world.engine.holder()
    const peer = holder?.isThere ? this.world.peers.find((p) => p.address === holder.address) : undefined
    if (peer && peer !== this && peer.isUp) return this.#passOn(request, end, peer)
    if (this.world.time.now > until)
      return void end.end('HTTP/1.1 503 Service Unavailable\r\nConnection: close\r\n\r\n')
    setTimeout(() => this.#place(request, end, until), AGAIN_MS)
  }

  #passOn(request: IncomingMessage, end: StreamEnd, peer: PeerProcess): void {
    const { time, weather } = this.world
    const between = new SimulatedLine(time, weather)
    const up = new StreamEnd(this.actor, between, 0)
    this.#lines.add(between)
    // The same session, in a form that tells which way it came.
    const cookie = `${request.headers.cookie?.replace('-passed-on', '')}-passed-on`
    const copy = { ...request, headers: { ...request.headers, cookie } } as IncomingMessage
    const { actor } = peer
    actor.soon(() => peer.accept(copy, between), weather.delay())
    this.actor.soon(() => {
      if (actor.isDead) between.cut()
    }, 200)
    const edges = new FrameEdges()
    let isHead = true
    up.on('data', (bytes: Buffer) => {
      // What the board answers the upgrade with is no frame.
      const at = isHead ? bytes.indexOf('\r\n\r\n') : -4
      if (isHead && at >= 0) isHead = false
      edges.pass(bytes.subarray(at + 4))
    })
    const over = () => {
      this.#relays.delete(goodbye)
      end.destroy()
      up.destroy()
    }
    const goodbye = () => {
      if (!edges.isBetween || isHead) return over()
      this.#relays.delete(goodbye)
      up.unpipe(end)
      end.unpipe(up)
      up.removeListener('close', over)
      up.destroy()
      end.end(closeFrame(CLOSE.shutdown))
    }
    this.#relays.add(goodbye)
    for (const side of [end, up]) side.once('close', over)
    up.pipe(end)
    end.pipe(up)
  }

  #cutRelays(): void {
    for (const goodbye of [...this.#relays]) goodbye()
  }

  /** Frames of the board leave this process: nobody else may judge it at this moment, as far as the process can know. */
  #shows(bytes: Uint8Array, line: SimulatedPostgresLine | null): void {
    if (bytes[0] !== 0x82 || line === null || !line.isUp) return
    const judge = this.world.engine.holder()
    if (judge && judge.owner !== line.owner)
      this.world.ledger.violate(`${this.actor.name} shows what ${judge.address} judges`)
  }
}
