import type { IncomingMessage, ServerResponse } from 'node:http'
import type { Logger } from 'pino'
import { DatabaseError, type DatabaseTrouble } from '@/drizzle/database-error'
import { openPostgres, type PostgresClient } from '@/drizzle/postgres/client'
import { Lookout, type Holder } from '@/drizzle/postgres/lookout'
import { answerTrouble } from '../http/answer-trouble'
import type { UpgradeHandler } from '../http/upgrade-listener'
import type { ServedBoard } from '../serve-board'
import type { OpenedStore } from '../storage/open-store'
import { KIT } from '../storage/postgres-statements'
import { takeBoard } from '../storage/take-board'
import { NotStored } from '../sync/not-stored'
import type { Timers } from '../sync/timers'
import { isRefused, readPeerAddress, type PeerAddress } from './peer-line'
import type { Passed, Relay } from './relay'

/** How often it is looked who serves the board. */
const LOOK_MS = 100
/** Whoever comes while nobody serves the board is kept waiting so long, and asks again so soon where nobody answers. */
const WAIT_MS = 4_000
const AGAIN_MS = 50

/** What one process of several does for all of them. */
export type Led = Pick<ServedBoard, 'api' | 'upgrade' | 'stats' | 'holds' | 'whyNotWritable' | 'close'>

export interface BoardTurnsParts<T extends Led> {
  /** The database whose board says by its lease which process that is. */
  url: string
  /** Where the other processes reach this one, as it stands in the database. */
  address: string
  relay: Relay
  timers: Timers
  log: Logger
  /** Begin with the store, which is closed with what comes of it, also where that fails. */
  serve: (opened: OpenedStore) => Promise<T>
  /** [S23] The database holds less than phones have heard of: whoever takes over must begin another generation. */
  forgetGenerations: () => Promise<void>
  /** This process can't go on. */
  onOver: (e: DatabaseError) => void
}

/** Waiting mends none of these. */
const FOR_GOOD: readonly DatabaseTrouble[] = ['too-new', 'too-old', 'not-durable']

type Where = { board: Led } | { peer: PeerAddress }

/**
 * [P1, P2] One process of several judges the board; each of the others passes on to it whatever comes, and takes the board over when its lease
 * has run out.
 */
export class BoardTurns<T extends Led> {
  readonly #p: BoardTurnsParts<T>
  #board: T | null = null
  #holder: Holder | null | 'away' = 'away'
  /** A connection that is ready for the next turn. */
  #spare: PostgresClient | null
  #isBusy = false
  #isLooking = false
  #isClosed = false
  #lookout: Lookout | null = null
  #wasOthers = false
  #settled: { resolve: () => void; reject: (e: DatabaseError) => void } | null = null

  private constructor(parts: BoardTurnsParts<T>) {
    this.#p = parts
    this.#spare = this.#open()
  }

  /** Resolves when the board is served, here or elsewhere. @throws DatabaseError */
  static async start<T extends Led>(parts: BoardTurnsParts<T>): Promise<BoardTurns<T>> {
    const turns = new BoardTurns(parts)
    const settled = new Promise<void>((resolve, reject) => (turns.#settled = { resolve, reject }))
    turns.#lookout = new Lookout(parts.url, KIT, LOOK_MS, (is) => turns.#seen(is))
    try {
      await settled
      return turns
    } catch (e) {
      await turns.close()
      throw e
    }
  }

  /** The board, while it is this process that judges it. */
  get board(): T | null {
    const board = this.#board
    if (board === null || board.holds()) return board
    this.#lose()
    return null
  }

  whyNotReady(): string | null {
    const board = this.board
    if (board) return board.whyNotWritable()
    if (this.#holder === 'away') return 'the database does not answer'
    return this.#peer() === null ? 'no process serves the board at the moment' : null
  }

  async api(req: IncomingMessage, res: ServerResponse, url: URL): Promise<void> {
    const { relay } = this.#p
    const passed = await this.#somewhere(
      () => res.destroyed,
      (board) => board.api(req, res, url),
      (peer) => relay.request(peer, req, res),
    )
    if (!passed) answerTrouble(res, 'nobody serves it at the moment', 'Nothing was changed. Try again.')
  }

  readonly upgrade: UpgradeHandler = (req, socket, head) => {
    const board = this.board
    if (board) return board.upgrade(req, socket, head)
    const { relay, log } = this.#p
    this.#somewhere(
      () => socket.destroyed,
      (board) => board.upgrade(req, socket, head),
      (peer) => relay.upgrade(peer, req, socket, head),
    ).then(
      (passed) => {
        if (!passed) socket.end('HTTP/1.1 503 Service Unavailable\r\nConnection: close\r\n\r\n')
      },
      (e: unknown) => {
        log.error({ err: e }, 'a socket could not be passed on')
        socket.destroy()
      },
    )
  }

  /** Store what has arrived, tell the phones to come back, and give the board to whoever takes it next. */
  async close(): Promise<void> {
    this.#isClosed = true
    this.#lookout?.close()
    const board = this.#board
    this.#board = null
    this.#p.relay.leave()
    await board?.close()
    this.#spare?.close()
    this.#spare = null
  }

  /** False where nobody took it in time. */
  async #somewhere(
    isGone: () => boolean,
    here: (board: Led) => Promise<void> | void,
    there: (peer: PeerAddress) => Promise<Passed>,
  ): Promise<boolean> {
    const { timers } = this.#p
    const until = timers.steady() + WAIT_MS
    while (!isGone()) {
      const where = this.#where()
      if (where && 'board' in where) {
        await here(where.board)
        return true
      }
      if (where && (await there(where.peer)) === 'done') return true
      if (this.#isClosed || timers.steady() > until) return false
      await new Promise<void>((resolve) => void timers.after(AGAIN_MS, resolve))
    }
    return true
  }

  #where(): Where | null {
    const board = this.board
    if (board) return { board }
    const peer = this.#peer()
    return peer && { peer }
  }

  #peer(): PeerAddress | null {
    const holder = this.#holder
    // Its own address is that of this process before it was started again.
    if (holder === null || holder === 'away' || !holder.isThere || holder.address === this.#p.address)
      return null
    return readPeerAddress(holder.address)
  }

  #seen(is: Holder | null | 'away'): void {
    const was = this.#holder
    this.#holder = is
    if (is === 'away' || this.#isClosed) return
    const isOthers = is?.isThere === true && is.address !== this.#p.address
    // Its own connection may be the only one that is down, so that it can't hear of it. A look that began before it took over says so once.
    if (this.#board && isOthers && this.#wasOthers) return this.#lose()
    this.#wasOthers = isOthers
    if (this.#board) return
    const isOther = was === null || was === 'away' || was.owner !== is?.owner || was.epoch !== is.epoch
    if (isOther) this.#p.relay.cut()
    if (isOthers) this.#settled?.resolve()
    if (!is?.isThere) void this.#take(null)
    else if (!is.isConnected) void this.#takeFromDead(is)
  }

  /**
   * It has a lease and no connection, so that it was killed, or can't reach the database. Where its machine says besides that nobody listens
   * any more it is not there to judge, and its lease is not waited for.
   */
  async #takeFromDead({ owner, address }: Holder): Promise<void> {
    const peer = readPeerAddress(address)
    if (peer === null || this.#isLooking || this.#isBusy) return
    this.#isLooking = true
    // At its own address this process was another one before.
    const isDead = address === this.#p.address || (await isRefused(peer))
    this.#isLooking = false
    if (isDead && !this.#isClosed && this.#board === null) await this.#take(owner)
  }

  async #take(dead: string | null): Promise<void> {
    if (this.#isBusy) return
    this.#isBusy = true
    const { url, address, timers, log, relay, serve } = this.#p
    try {
      const client = (this.#spare ??= this.#open())
      const opened = takeBoard(client, url, address, timers, dead, () => this.#lose())
      if (opened === null) return
      this.#spare = null
      const board = await serve(opened)
      relay.cut()
      if (this.#isClosed) return await board.close()
      this.#board = board
      this.#wasOthers = false
      log.info('this process serves the board now')
      this.#settled?.resolve()
    } catch (e) {
      // Another process was faster, or the database went away: the next look says which.
      if (!(e instanceof DatabaseError || e instanceof NotStored)) throw e
      log.warn({ reason: e.reason }, 'the board could not be taken over')
      if (e instanceof DatabaseError && FOR_GOOD.includes(e.trouble)) this.#settled?.reject(e)
    } finally {
      this.#isBusy = false
    }
  }

  /** [P1] Another process judges the board: nothing of it is shown here any more. */
  #lose(): void {
    const board = this.#board
    this.#board = null
    if (board === null) return
    this.#p.log.warn('another process serves the board now')
    board.close().then(
      () => {
        if (!this.#isClosed) this.#spare ??= this.#open()
      },
      (e: unknown) => this.#p.log.error({ err: e }, 'the board could not be closed in good order'),
    )
  }

  #open(): PostgresClient {
    const client: PostgresClient = openPostgres(this.#p.url, {
      onOver: (e) => {
        const isSpare = this.#spare === client
        if (isSpare) this.#spare = null
        // It has judged nothing by it, and opens another one when it needs to.
        if (isSpare && e.trouble === 'went-back') return
        void this.#end(e)
      },
    })
    return client
  }

  async #end(e: DatabaseError): Promise<void> {
    if (e.trouble === 'went-back') await this.#p.forgetGenerations().catch(() => undefined)
    this.#p.onOver(e)
  }
}
