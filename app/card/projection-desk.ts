import type { CardProjections, ProjectionBasis } from '@/lib/card'
import type { ProjectionAnswer, ProjectionQuestion } from './projection-messages'

/** The part of a `Worker` that the desk uses. */
export interface ProjectionThread {
  postMessage(question: ProjectionQuestion): void
  terminate(): void
  onmessage: ((event: MessageEvent<ProjectionAnswer>) => void) | null
  onerror: ((event: ErrorEvent) => void) | null
}

/** What a screen shows of one card's simulator part. */
export interface DeskState {
  /** The last good projections of this card; null before the first. */
  projections: CardProjections | null
  /** They are of an earlier state of the card: another is being computed, or this state can't be. */
  stale: boolean
  /** The ± is being worked out still. */
  roughly: boolean
  /** Why this state of the card can't be projected. */
  problem: string | null
}

interface Slot {
  /** What was asked for last. */
  key: string
  state: DeskState
  listeners: Set<() => void>
}

const NOTHING: DeskState = { projections: null, stale: false, roughly: false, problem: null }
/** So many grounds are remembered; a day's cards and their trials fit. */
const MEMORY = 120

/**
 * Hands grounds to one thread and keeps what came back, by ground. One question is with the thread at a time: what was asked and overtaken by a
 * later edit is never computed. Best estimates of all cards come before anybody's ±.
 */
export class ProjectionDesk {
  readonly #open: () => ProjectionThread
  #thread: ProjectionThread | null = null
  #busy = false
  readonly #slots = new Map<string, Slot>()
  readonly #answers = new Map<string, { projections: CardProjections; withSpread: boolean }>()
  readonly #grounds = new Map<string, { slot: string; basis: ProjectionBasis }>()

  constructor(open: () => ProjectionThread) {
    this.#open = open
  }

  /** Say what a slot (a card, or a trial of one) is about now. Cheap when nothing changed. */
  ask(slotId: string, key: string, basis: ProjectionBasis): void {
    const slot = this.#slot(slotId)
    if (slot.key === key) return
    this.#leave(slot, key)
    const known = this.#answers.get(key)
    if (known) this.#show(slot, known)
    else this.#set(slot, { ...slot.state, stale: slot.state.projections !== null, problem: null })
    if (!known?.withSpread) {
      this.#grounds.set(key, { slot: slotId, basis })
      this.#next()
    }
  }

  /** This state can't be projected at all (a trial value that is no number): the last good projection stays, marked. */
  spoil(slotId: string, problem: string): void {
    const slot = this.#slot(slotId)
    this.#leave(slot, '')
    this.#set(slot, { ...slot.state, stale: slot.state.projections !== null, problem })
  }

  state = (slotId: string): DeskState => this.#slots.get(slotId)?.state ?? NOTHING

  subscribe(slotId: string, listener: () => void): () => void {
    const { listeners } = this.#slot(slotId)
    listeners.add(listener)
    return () => listeners.delete(listener)
  }

  close(): void {
    this.#thread?.terminate()
    this.#thread = null
    this.#busy = false
  }

  #slot(id: string): Slot {
    let slot = this.#slots.get(id)
    if (!slot) this.#slots.set(id, (slot = { key: '', state: NOTHING, listeners: new Set() }))
    return slot
  }

  /** A ground that no slot is about any more need not be computed. */
  #leave(slot: Slot, key: string): void {
    const left = slot.key
    slot.key = key
    if (![...this.#slots.values()].some((s) => s.key === left)) this.#grounds.delete(left)
  }

  #set(slot: Slot, state: DeskState): void {
    slot.state = state
    for (const listener of slot.listeners) listener()
  }

  #show(slot: Slot, answer: { projections: CardProjections; withSpread: boolean }): void {
    const { problem } = answer.projections
    this.#set(
      slot,
      problem
        ? {
            ...slot.state,
            stale: slot.state.projections !== null,
            roughly: false,
            problem: `${problem.field}${problem.value === '' ? '' : ` “${problem.value}”`} ${problem.reason}. ${problem.remedy}`,
          }
        : { projections: answer.projections, stale: false, roughly: !answer.withSpread, problem: null },
    )
  }

  #next(): void {
    if (this.#busy) return
    const waiting = [...this.#grounds]
    const rough = waiting.find(([key]) => !this.#answers.has(key))
    const [key, ground] = rough ?? waiting[0] ?? []
    if (key === undefined || !ground) return
    this.#busy = true
    this.#running().postMessage({ key, basis: ground.basis, withSpread: !rough })
  }

  #running(): ProjectionThread {
    if (this.#thread) return this.#thread
    const thread = this.#open()
    thread.onmessage = ({ data }) => this.#take(data)
    thread.onerror = () => {
      this.close()
      this.#grounds.clear()
      for (const slot of this.#slots.values())
        this.#set(slot, {
          ...slot.state,
          stale: slot.state.projections !== null,
          roughly: false,
          problem:
            'The simulator’s thread did not start. Reload the page; the first time it needs the network.',
        })
    }
    return (this.#thread = thread)
  }

  #take(data: ProjectionAnswer): void {
    this.#busy = false
    const ground = this.#grounds.get(data.key)
    if (data.kind === 'failed') {
      this.#grounds.delete(data.key)
      const slot = ground && this.#slots.get(ground.slot)
      if (slot?.key === data.key)
        this.#set(slot, {
          ...slot.state,
          stale: slot.state.projections !== null,
          roughly: false,
          problem: `The simulator failed: ${data.message}`,
        })
    } else {
      const answer = {
        projections: data.projections,
        withSpread: data.withSpread || data.projections.problem !== null,
      }
      this.#answers.set(data.key, answer)
      const oldest = this.#answers.keys().next().value
      if (this.#answers.size > MEMORY && oldest !== undefined) this.#answers.delete(oldest)
      if (answer.withSpread) this.#grounds.delete(data.key)
      for (const slot of this.#slots.values()) if (slot.key === data.key) this.#show(slot, answer)
    }
    this.#next()
  }
}
