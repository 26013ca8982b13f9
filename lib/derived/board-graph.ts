import {
  batch,
  computed,
  effect,
  signal,
  untracked,
  type ReadonlySignal,
  type Signal,
} from '@preact/signals-core'
import type { BoardView, Rows } from '../board'
import { collectionNames } from '../board'
import type { Clock } from '../core/clock'
import { MEMORY, type Board, type Memory } from './derived'
import { keepEqual } from './keep-equal'
import { LongAnswers } from './long-answers'
import type { Elsewhere } from './worked-out'

/** A value that somebody watches. `read` gives the same object until it says something else. */
export interface Cell<T> {
  read: () => T
  /** Told after each change; returns the way to stop. */
  subscribe: (tell: () => void) => () => void
}

/**
 * The board as a graph of signals: an atom per collection and per record that was asked for, an atom per step of the clock, and a computed value per fact
 * (`derived`) and key. Nothing is listed by hand: what a fact read is what it depends on, and what says the same as before is the same object.
 */
export class BoardGraph {
  readonly board: Board
  readonly #look: () => BoardView
  readonly #clock: Clock
  readonly #view: Signal<BoardView>
  readonly #rows = new Map<string, TrackedRows>()
  readonly #steps = new Map<number, Signal<number>>()
  readonly #facts = new Map<object, Map<string, ReadonlySignal<unknown>>>()
  readonly #long = new LongAnswers()

  /** `look`: the records as they are now; the same object until something of them changed (`BoardReading.view`). */
  constructor(look: () => BoardView, clock: Clock) {
    this.#look = look
    this.#clock = clock
    const view = look()
    this.#view = signal(view)
    const memory: Memory = {
      recall: (fact, key, make) => this.#recall(fact, key, make),
      longAnswer: (fact, question) => this.#long.answer(fact, question),
    }
    const board: Record<PropertyKey, unknown> = {
      hasMeeting: view.hasMeeting,
      now: (stepMs: number) => this.#step(stepMs).value,
      [MEMORY]: memory,
    }
    for (const name of [...collectionNames('kit'), ...collectionNames('meeting')]) {
      const rows = new TrackedRows(view[name as keyof BoardView] as Rows<unknown>)
      this.#rows.set(name, rows)
      board[name] = rows
    }
    Object.defineProperty(board, 'damaged', { get: () => this.#view.value.damaged, enumerable: true })
    this.board = board as unknown as Board
  }

  /** From now on long facts are worked out there (`workedOut`). Returns the way to take it back. */
  lend(elsewhere: Elsewhere): () => void {
    return this.#long.lend(elsewhere)
  }

  /** Take in what has changed on the board and the clock, and tell whoever watches something of it. */
  refresh(): void {
    const view = this.#look()
    const now = this.#clock.now()
    batch(() => {
      for (const [stepMs, at] of this.#steps) at.value = Math.floor(now / stepMs) * stepMs
      if (view === this.#view.peek()) return
      this.#view.value = view
      for (const [name, rows] of this.#rows) rows.take(view[name as keyof BoardView] as Rows<unknown>)
    })
  }

  /** One answer, without watching it. */
  ask<T>(question: (board: Board) => T): T {
    return untracked(() => question(this.board))
  }

  cell<T>(question: (board: Board) => T): Cell<T> {
    const value = remembered(() => question(this.board))
    return {
      read: () => untracked(() => value.value),
      subscribe: (tell) => {
        let isFirst = true
        return effect(() => {
          try {
            void value.value
          } catch {
            // Whoever reads it is told what went wrong; nobody else is to be held up.
          }
          if (!isFirst) untracked(tell)
          isFirst = false
        })
      },
    }
  }

  #recall<T>(fact: object, key: string, make: () => T): T {
    let values = this.#facts.get(fact)
    if (!values) this.#facts.set(fact, (values = new Map()))
    let value = values.get(key) as ReadonlySignal<T> | undefined
    if (!value) values.set(key, (value = remembered(make)))
    return value.value
  }

  #step(stepMs: number): Signal<number> {
    let step = this.#steps.get(stepMs)
    if (!step) this.#steps.set(stepMs, (step = signal(Math.floor(this.#clock.now() / stepMs) * stepMs)))
    return step
  }
}

function remembered<T>(make: () => T): ReadonlySignal<T> {
  let last: T | undefined
  return computed(() => {
    const value = make()
    if (value instanceof TrackedRows) throw new Error('Ask for records: the collection is always the same')
    return (last = keepEqual(last, value))
  })
}

/** One collection: who asks for a record depends on that record, who looks at the list on the whole. */
class TrackedRows implements Rows<unknown> {
  readonly #rows: Signal<Rows<unknown>>
  readonly #records = new Map<string, Signal<unknown>>()

  constructor(rows: Rows<unknown>) {
    this.#rows = signal(rows)
  }

  take(rows: Rows<unknown>): void {
    if (rows === this.#rows.peek()) return
    this.#rows.value = rows
    for (const [id, record] of this.#records) record.value = rows.get(id)
  }

  get live() {
    return this.#rows.value.live
  }
  get all() {
    return this.#rows.value.all
  }
  readonly get = (id: string | null | undefined): unknown => {
    if (!id) return undefined
    let record = this.#records.get(id)
    if (!record) this.#records.set(id, (record = signal(this.#rows.peek().get(id))))
    return record.value
  }
}
