import { KeptThread, type Thread } from '@/app/threads/kept-thread'
import { threadTrouble } from '@/app/threads/thread-trouble'
import type { BoardUpdate } from '@/app/sync/board-mirror'
import {
  readNews,
  type OverviewCar,
  type OverviewNews,
  type OverviewOrder,
  type TicketFigures,
} from './overview-messages'

/** What comes is packed (`packNews`). */
export type OverviewThread = Thread<OverviewOrder, string>

/** The board as the desk follows it (`ClientBoard`). */
export interface FollowedBoard {
  follow(tell: (update: BoardUpdate) => void): () => void
}

type Draw = (ticket: TicketFigures) => void
interface Watcher {
  draw: Draw
  isInSight: boolean
  drawn: TicketFigures | null
}

/**
 * What the overview's tickets show of their projections. A thread of its own works it out from its own copy of the board, so that an edit costs the
 * screen's thread only the figures that change. They are drawn with the next second that turns, in the frame that draws the clock anyway; a ticket out of
 * sight is not drawn twice, for an estimate and for its ±, but once.
 */
export class OverviewDesk {
  readonly #thread: KeptThread<OverviewOrder, string>
  readonly #withNextSecond: (draw: () => void) => () => void
  #unfollow: (() => void) | null = null
  #board: FollowedBoard | null = null
  #unwait: (() => void) | null = null
  #cars: readonly OverviewCar[] = []
  #left: OverviewNews['left'] = { figures: 0, spreads: 0 }
  #trouble: string | null = null
  readonly #troubleListeners = new Set<() => void>()
  #drawLeft: ((left: OverviewNews['left']) => void) | null = null
  readonly #latest = new Map<string, TicketFigures>()
  readonly #watchers = new Map<string, Watcher>()

  constructor(open: () => OverviewThread, withNextSecond: (draw: () => void) => () => void) {
    this.#thread = new KeptThread({
      open,
      hear: (packed) => this.#hear(readNews(packed)),
      fell: (gone) => {
        this.#stop()
        this.#setTrouble(threadTrouble('simulator', gone))
        this.#outdate('refused')
      },
    })
    this.#withNextSecond = withNextSecond
  }

  /** Follow a board until stopped. What was known before stands, marked, until the thread has caught up. */
  start(board: FollowedBoard): () => void {
    this.#stop()
    this.#board = board
    this.#setTrouble(null)
    this.#outdate('stale')
    this.#unfollow = board.follow((update) => this.#thread.tell({ kind: 'board', ...update }))
    this.#thread.tell({ kind: 'cars', cars: this.#cars })
    return () => {
      this.#board = null
      this.#stop()
    }
  }

  /** Why there are no figures to come; null while all is well. */
  trouble = (): string | null => this.#trouble
  subscribeTrouble = (listener: () => void): (() => void) => {
    this.#troubleListeners.add(listener)
    return () => this.#troubleListeners.delete(listener)
  }
  /** Start the thread anew after it failed. */
  retry = (): void => {
    if (this.#board && !this.#thread.isOpen) this.start(this.#board)
  }

  #setTrouble(why: string | null) {
    this.#trouble = why
    for (const listener of this.#troubleListeners) listener()
  }

  #stop() {
    this.#unfollow?.()
    this.#unwait?.()
    this.#thread.end()
    this.#unfollow = this.#unwait = null
  }

  /** Which cars, and for which of their runs. */
  setCars(cars: readonly OverviewCar[]): void {
    this.#cars = cars
    if (this.#thread.isOpen) this.#thread.tell({ kind: 'cars', cars })
  }

  /** Draw a car's figures now and whenever they change. */
  watch(carId: string, draw: Draw): { setInSight: (isInSight: boolean) => void; stop: () => void } {
    const watcher: Watcher = { draw, isInSight: false, drawn: null }
    this.#watchers.set(carId, watcher)
    this.#draw(carId, watcher, true)
    return {
      setInSight: (isInSight) => {
        watcher.isInSight = isInSight
        this.#draw(carId, watcher, isInSight)
      },
      stop: () => {
        if (this.#watchers.get(carId) === watcher) this.#watchers.delete(carId)
      },
    }
  }

  /** Draw what is left to be worked out, now and whenever that changes. */
  watchLeft(draw: (left: OverviewNews['left']) => void): () => void {
    this.#drawLeft = draw
    draw(this.#left)
    return () => {
      if (this.#drawLeft === draw) this.#drawLeft = null
    }
  }

  /** Everything as it stands, in sight or not: before it is printed. */
  drawAll(): void {
    for (const [carId, watcher] of this.#watchers) this.#draw(carId, watcher, true)
  }

  #hear({ tickets, left }: OverviewNews) {
    const isFirst = tickets.some((t) => !this.#latest.has(t.carId))
    for (const t of tickets) this.#latest.set(t.carId, t)
    this.#left = left
    // Whoever has just opened the page waits for them.
    if (isFirst) return this.#drawDue()
    this.#unwait ??= this.#withNextSecond(() => this.#drawDue())
  }

  #drawDue() {
    this.#unwait?.()
    this.#unwait = null
    for (const [carId, watcher] of this.#watchers) this.#draw(carId, watcher, watcher.isInSight)
    this.#drawLeft?.(this.#left)
  }

  #draw(carId: string, watcher: Watcher, isLooking: boolean) {
    const ticket = this.#latest.get(carId)
    if (!ticket || ticket === watcher.drawn) return
    const isLasting = ticket.state === 'now' || ticket.state === 'refused'
    if (!isLooking && !isLasting && watcher.drawn !== null) return
    watcher.drawn = ticket
    watcher.draw(ticket)
  }

  /** Nothing that is shown can be relied on. */
  #outdate(state: 'stale' | 'refused') {
    for (const [carId, ticket] of this.#latest) this.#latest.set(carId, { ...ticket, state })
    this.#left = { figures: state === 'stale' ? this.#latest.size : 0, spreads: 0 }
    this.#drawDue()
  }
}
