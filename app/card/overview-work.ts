import type { CardProjections, ProjectionBasis } from '@/lib/card'
import { cardGround, type CardGround } from '@/lib/card/projections/card-ground'
import { BoardMirror } from '@/app/sync/board-mirror'
import type {
  OverviewCar,
  OverviewNews,
  OverviewOrder,
  TicketFigure,
  TicketFigures,
} from './overview-messages'

/**
 * News are held back this long, ms, so that all cards together cost the screen one turn instead of one each: a first estimate less long than a ±, which
 * replaces one that stands already. When nothing is left to do they go at once.
 */
const HOLD_MS = { estimate: 400, spread: 8000 }
/** Results of so many states of cards are remembered: what is taken back stands again at once. */
const MEMORY = 120
/** The arithmetic's part of a short ticket. */
const QUICK_FIGURES: readonly string[] = ['rollout']
/** The simulator's. */
const LAP_FIGURES: readonly string[] = ['topSpeed', 'can']

interface Result {
  withSpread: boolean
  figures: readonly TicketFigure[]
  isRefused: boolean
}

interface Slot {
  car: OverviewCar
  ground: CardGround | null
  quick: readonly TicketFigure[]
  /** The last good figures of the lap. */
  driven: readonly TicketFigure[]
  told: string
}

/**
 * The overview's half of the simulator's thread: reads each card's ground off its own copy of the board, computes what changed question by question,
 * hears of newer edits between any two, and tells what is to be shown in batches. Everybody's estimate comes before anybody's ±.
 */
export class OverviewWork {
  readonly #board = new BoardMirror()
  readonly #project: (basis: ProjectionBasis, withSpread: boolean) => CardProjections
  readonly #tell: (news: OverviewNews) => void
  readonly #soon: () => void
  readonly #now: () => number
  #slots = new Map<string, Slot>()
  readonly #results = new Map<string, Result>()
  #isDirty = false
  #isScheduled = false
  /** When the oldest thing came up that was not told yet; null when there is none. */
  #heldSince: number | null = null
  /** Some cards' figures are of before the latest edit, as far as the screen was told. */
  #isNew = true
  #left: OverviewNews['left'] | null = null

  /** `soon`: arrange for `step` to be called in a later turn. */
  constructor(o: {
    project: (basis: ProjectionBasis, withSpread: boolean) => CardProjections
    tell: (news: OverviewNews) => void
    soon: () => void
    now: () => number
  }) {
    this.#project = o.project
    this.#tell = o.tell
    this.#soon = o.soon
    this.#now = o.now
  }

  take(order: OverviewOrder): void {
    if (order.kind === 'board') this.#board.take(order)
    else
      this.#slots = new Map(
        order.cars.map((car) => [
          car.carId,
          { ...(this.#slots.get(car.carId) ?? { ground: null, quick: [], driven: [], told: '' }), car },
        ]),
      )
    this.#isDirty = true
    this.#schedule()
  }

  step(): void {
    this.#isScheduled = false
    if (this.#isDirty) this.#look()
    const slots = [...this.#slots.values()]
    const next =
      slots.find((s) => this.#resultOf(s) === undefined) ?? slots.find((s) => !this.#resultOf(s)?.withSpread)
    if (next?.ground) this.#compute(next.ground, this.#resultOf(next) !== undefined)
    for (const slot of slots) {
      const result = this.#resultOf(slot)
      if (result && !result.isRefused) slot.driven = keepSpreads(result, slot.driven)
    }
    const missing = slots.filter((s) => this.#resultOf(s) === undefined).length
    const open = slots.filter((s) => !this.#resultOf(s)?.withSpread).length
    const hold = this.#isNew ? HOLD_MS.estimate : HOLD_MS.spread
    const isOverdue = this.#heldSince !== null && this.#now() - this.#heldSince >= hold
    const isFirst = missing === 0 && slots.some((s) => s.told === '')
    if (open === 0 || isFirst || isOverdue) {
      this.#heldSince = null
      this.#isNew = missing > 0
      this.#tellChanges(slots, { figures: missing, spreads: open - missing })
    }
    if (open > 0) this.#schedule()
  }

  /** What every card stands on now. */
  #look() {
    this.#isDirty = false
    const { graph } = this.#board
    graph.refresh()
    for (const slot of this.#slots.values()) {
      const { carId, runId } = slot.car
      const ground = graph.ask((board) => cardGround(board, carId, runId ?? ''))
      if (ground === slot.ground) continue
      slot.ground = ground
      // A value that can't be: what stood before stays, marked.
      if (!ground.quick.problem) slot.quick = shown(ground.quick, QUICK_FIGURES)
      this.#heldSince ??= this.#now()
      this.#isNew = true
    }
  }

  #resultOf({ ground }: Slot): Result | undefined {
    return ground ? this.#results.get(ground.key) : undefined
  }

  #compute({ basis, key }: CardGround, withSpread: boolean) {
    this.#heldSince ??= this.#now()
    const result = this.#resultFor(basis, withSpread)
    this.#results.delete(key)
    this.#results.set(key, result)
    const oldest = this.#results.keys().next().value
    if (this.#results.size > Math.max(MEMORY, this.#slots.size) && oldest !== undefined)
      this.#results.delete(oldest)
  }

  #resultFor(basis: ProjectionBasis, withSpread: boolean): Result {
    try {
      const made = this.#project(basis, withSpread)
      // What is refused has no ± to wait for.
      if (made.problem) return { withSpread: true, figures: [], isRefused: true }
      return { withSpread, figures: shown(made, LAP_FIGURES), isRefused: false }
    } catch (error) {
      console.error(error)
      return { withSpread: true, figures: [], isRefused: true }
    }
  }

  #tellChanges(slots: readonly Slot[], left: OverviewNews['left']) {
    const tickets: TicketFigures[] = []
    for (const slot of slots) {
      const ticket = this.#ticketOf(slot)
      const told = JSON.stringify(ticket)
      if (told !== slot.told) tickets.push(ticket)
      slot.told = told
    }
    if (tickets.length === 0 && JSON.stringify(left) === JSON.stringify(this.#left)) return
    this.#left = left
    this.#tell({ tickets, left })
  }

  #stateOf(slot: Slot): TicketFigures['state'] {
    const result = this.#resultOf(slot)
    if (slot.ground?.quick.problem || result?.isRefused) return 'refused'
    return result === undefined ? 'stale' : result.withSpread ? 'now' : 'rough'
  }

  #ticketOf(slot: Slot): TicketFigures {
    return {
      carId: slot.car.carId,
      figures: [...slot.quick, ...slot.driven],
      state: this.#stateOf(slot),
    }
  }

  #schedule() {
    if (this.#isScheduled) return
    this.#isScheduled = true
    this.#soon()
  }
}

const shown = ({ figures }: CardProjections, ids: readonly string[]): TicketFigure[] =>
  figures
    .filter((f) => ids.includes(f.id) && f.value !== null)
    .map(({ id, text, unit, plusMinusText }) => ({ id, text, unit, plusMinusText }))

/** An estimate comes without ±: until its own is there, the one before stands. */
function keepSpreads(
  { withSpread, figures }: Result,
  before: readonly TicketFigure[],
): readonly TicketFigure[] {
  if (withSpread) return figures
  return figures.map((f) => ({ ...f, plusMinusText: before.find((b) => b.id === f.id)?.plusMinusText ?? '' }))
}
