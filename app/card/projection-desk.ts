import type { CardProjections } from '@/lib/card'
import type { Refusal } from '@/lib/core/result'
import { threadTrouble } from '@/app/threads/thread-trouble'
import type { ProjectionAnswer, ProjectionAnswers, ProjectionQuestions } from './projection-messages'

/** The part of a `Worker` that the desk uses. */
export interface ProjectionThread {
  postMessage(questions: ProjectionQuestions): void
  terminate(): void
  onmessage: ((event: MessageEvent<ProjectionAnswers>) => void) | null
  onerror: ((event: ErrorEvent) => void) | null
}

/** What came back for one ground. The whole figures are read from their text the first time that a screen wants them. */
export class LapAnswer {
  readonly withSpread: boolean
  readonly problem: Refusal | null
  #text: string
  #figures: CardProjections['figures'] | null = null

  constructor(a: Extract<ProjectionAnswer, { kind: 'done' }>) {
    this.withSpread = a.withSpread || a.problem !== null
    this.problem = a.problem
    this.#text = a.figures
  }

  get figures(): CardProjections['figures'] {
    this.#figures ??= JSON.parse(this.#text) as CardProjections['figures']
    return this.#figures
  }
}

/** What a slot holds, whatever was asked for since: changes only when an answer comes in. */
export interface SlotState {
  /** The last good answer of this slot, and the ground that it is about. */
  good: LapAnswer | null
  of: string
  /** A ground that could not be projected, and why. */
  refused: { of: string; why: string; retry?: () => void } | null
}

/** What a screen shows of one card's simulator part. */
export interface DeskState {
  /** The last good projections of this card; null before the first. */
  projections: LapAnswer | null
  /** They are of an earlier state of the card: another is being computed, or this state can't be. */
  stale: boolean
  /** The ± is being worked out still. */
  roughly: boolean
  /** Why this state of the card can't be projected. */
  problem: string | null
  /** Start the thread anew: there where it is what failed. */
  retry?: () => void
}

/** What a slot's state means beside the ground that the card stands on now. `problem`: it can't be projected, whatever the ground says. */
export function lookAt({ good, of, refused }: SlotState, key: string, problem: string | null): DeskState {
  const why = problem ?? (refused?.of === key ? refused.why : null)
  const stale = good !== null && (why !== null || of !== key)
  const roughly = good !== null && !stale && !good.withSpread
  const retry = why !== null && why === refused?.why ? refused.retry : undefined
  return { projections: good, stale, roughly, problem: why, ...(retry && { retry }) }
}

interface Slot {
  /** What was assigned last; empty when nothing is. */
  key: string
  state: SlotState
  listeners: Set<() => void>
}

const NOTHING: SlotState = { good: null, of: '', refused: null }
/** So many grounds are remembered; a day's cards and their trials fit. */
const MEMORY = 120

/**
 * Hands grounds to one thread and keeps what came back, by ground. All that is asked for in one turn goes over in one list, and a newer list takes the
 * earlier one's place: what was overtaken by a later edit is not computed. Best estimates of all cards come before anybody's ±.
 */
export class ProjectionDesk {
  readonly #open: () => ProjectionThread
  #thread: ProjectionThread | null = null
  readonly #slots = new Map<string, Slot>()
  readonly #answers = new Map<string, LapAnswer>()
  /** Grounds by their number, and back, for those that are wanted. */
  readonly #grounds = new Map<number, string>()
  readonly #numbers = new Map<string, number>()
  #count = 0
  #sending = false

  constructor(open: () => ProjectionThread) {
    this.#open = open
  }

  /** Say what a slot (a card, or a trial of one) is about now, by its ground (`CardGround.key`). Cheap when nothing changed. */
  ask(slotId: string, key: string): void {
    const slot = this.#slot(slotId)
    if (slot.key === key) return
    slot.key = key
    const known = this.#answers.get(key)
    if (known) this.#take(slot, key, known)
    this.#send()
  }

  /** Nothing is asked for this slot: its state can't be projected at all. The last good projection stays. */
  leave(slotId: string): void {
    this.#slot(slotId).key = ''
    this.#send()
  }

  state = (slotId: string): SlotState => this.#slots.get(slotId)?.state ?? NOTHING

  subscribe(slotId: string, listener: () => void): () => void {
    const { listeners } = this.#slot(slotId)
    listeners.add(listener)
    return () => listeners.delete(listener)
  }

  close(): void {
    this.#thread?.terminate()
    this.#thread = null
    this.#forget(() => true)
  }

  #slot(id: string): Slot {
    let slot = this.#slots.get(id)
    if (!slot) this.#slots.set(id, (slot = { key: '', state: NOTHING, listeners: new Set() }))
    return slot
  }

  #set(slot: Slot, state: SlotState): void {
    slot.state = state
    for (const listener of slot.listeners) listener()
  }

  #take(slot: Slot, key: string, answer: LapAnswer): void {
    const { problem: p } = answer
    const why = p && `${p.field}${p.value === '' ? '' : ` “${p.value}”`} ${p.reason}. ${p.remedy}`
    this.#set(
      slot,
      why ? { ...slot.state, refused: { of: key, why } } : { good: answer, of: key, refused: null },
    )
  }

  /** The list of what is wanted, once all that this turn asks for is known. */
  #send(): void {
    if (this.#sending) return
    this.#sending = true
    queueMicrotask(() => {
      this.#sending = false
      const keys = [...new Set([...this.#slots.values()].map((s) => s.key))].filter(
        (key) => key !== '' && !this.#answers.get(key)?.withSpread,
      )
      if (keys.length === 0 && this.#grounds.size === 0) return
      const wanted = new Set(keys)
      this.#forget((ground) => !wanted.has(ground))
      const questions = keys.map((ground) => ({ id: this.#number(ground), ground }))
      this.#running().postMessage([
        ...questions
          .filter(({ ground }) => !this.#answers.has(ground))
          .map((q) => ({ ...q, withSpread: false })),
        ...questions.map((q) => ({ ...q, withSpread: true })),
      ])
    })
  }

  #number(ground: string): number {
    let id = this.#numbers.get(ground)
    if (id === undefined) {
      this.#numbers.set(ground, (id = ++this.#count))
      this.#grounds.set(id, ground)
    }
    return id
  }

  #forget(which: (ground: string) => boolean): void {
    for (const [id, ground] of this.#grounds)
      if (which(ground)) {
        this.#grounds.delete(id)
        this.#numbers.delete(ground)
      }
  }

  #running(): ProjectionThread {
    if (this.#thread) return this.#thread
    const thread = this.#open()
    thread.onmessage = ({ data }) => data.forEach((a) => this.#hear(a))
    thread.onerror = (event) => {
      this.close()
      const why = threadTrouble('simulator', event)
      for (const slot of this.#slots.values())
        if (slot.key !== '')
          this.#set(slot, { ...slot.state, refused: { of: slot.key, why, retry: () => this.#retry() } })
    }
    return (this.#thread = thread)
  }

  #retry(): void {
    for (const slot of this.#slots.values())
      if (slot.state.refused?.retry) this.#set(slot, { ...slot.state, refused: null })
    this.#send()
  }

  #refuse(slot: Slot, of: string, why: string): void {
    this.#set(slot, { ...slot.state, refused: { of, why } })
  }

  #hear(a: ProjectionAnswer): void {
    const key = this.#grounds.get(a.id)
    // Nobody is about it any more.
    if (key === undefined) return
    const about = [...this.#slots.values()].filter((s) => s.key === key)
    if (a.kind === 'failed') {
      for (const slot of about) this.#refuse(slot, key, `The projection failed: ${a.message}`)
      return
    }
    const answer = new LapAnswer(a)
    this.#answers.set(key, answer)
    const oldest = this.#answers.keys().next().value
    if (this.#answers.size > MEMORY && oldest !== undefined) this.#answers.delete(oldest)
    if (answer.withSpread) this.#forget((ground) => ground === key)
    for (const slot of about) this.#take(slot, key, answer)
  }
}
