import type { DeskOrder, DeskReply, Tasks } from './desk-messages'
import { KeptThread, type Thread } from './kept-thread'

export type DeskThread<T extends Tasks<T>> = Thread<DeskOrder<T>, DeskReply<T>>

/** What is known at one place. */
export interface Asked<A> {
  /** The latest question, by its key. */
  asked: unknown
  /** The last answer, as far as it goes; null before the first. */
  answer: A | null
  /** The question that the answer is to, by its key. */
  of: unknown
  /** The answer is to an earlier question, or there will be no more of it. */
  stale: boolean
  /** An answer to the latest question is to come, or more of it. */
  isWorking: boolean
  /** Why there is none to the latest question. */
  failed: string | null
  /** Start the thread anew: there where it is what failed. */
  retry?: (() => void) | undefined
}

interface Slot {
  place: string
  /** The question's number; null while the thread knows of none. */
  n: number | null
  question: unknown
  state: Asked<unknown>
}

interface DeskOptions {
  /** Why a thread is gone, as the screen says it. */
  words: (gone: ErrorEvent) => string
  /** A question that is worked on can't be overtaken otherwise: it takes long, and the thread does not hear. */
  endsOvertaken?: boolean
  /** So many answers are kept by the key of their question: what is taken back stands again at once. */
  remembers?: number
}

const NOTHING: Asked<never> = {
  asked: undefined,
  answer: null,
  of: undefined,
  stale: false,
  isWorking: false,
  failed: null,
}

/**
 * Where a worker's questions wait (`answerQuestions` is the other end). Of each place the latest question wins; the answer before stands, marked, until
 * there is another, and an answer to a question that was overtaken is dropped.
 */
export class Desk<T extends Tasks<T>> {
  readonly #options: DeskOptions
  readonly #thread: KeptThread<DeskOrder<T>, DeskReply<T>>
  readonly #slots = new Map<keyof T, Slot>()
  readonly #known = new Map<unknown, { answer: unknown; isLast: boolean }>()
  readonly #listeners = new Set<() => void>()
  #count = 0

  constructor(open: () => DeskThread<T>, options: DeskOptions) {
    this.#options = options
    this.#thread = new KeptThread({
      open,
      hear: (reply) => this.#hear(reply),
      fell: (gone) => this.#fall(options.words(gone)),
    })
  }

  /** `key`: two questions of the same key are the same one, which is not asked twice. */
  ask<K extends keyof T & string>(place: K, question: T[K]['question'], key: unknown = question): void {
    const slot = this.#slot(place)
    if (slot.n !== null && slot.state.asked === key) return
    if (slot.state.isWorking) this.#interrupt(slot)
    const known = this.#known.get(key)
    slot.n = ++this.#count
    slot.question = question
    this.#set(slot, {
      ...slot.state,
      ...(known && { answer: known.answer, of: key }),
      asked: key,
      isWorking: !known?.isLast,
      failed: null,
      retry: undefined,
    })
    if (!known?.isLast) this.#send(slot)
  }

  /** Nothing is asked at this place. The last answer stays. */
  leave(place: keyof T & string): void {
    const slot = this.#slots.get(place)
    if (!slot) return
    const { isWorking } = slot.state
    slot.n = null
    if (!isWorking) return
    this.#set(slot, { ...slot.state, isWorking: false })
    if (!this.#interrupt(slot)) this.#thread.tell({ place, n: null })
  }

  /** The same, and its answer has been dealt with. */
  drop(place: keyof T & string): void {
    this.leave(place)
    const slot = this.#slots.get(place)
    if (slot) this.#set(slot, NOTHING)
  }

  state = <K extends keyof T & string>(place: K): Asked<T[K]['answer']> =>
    this.#slots.get(place)?.state ?? NOTHING

  subscribe = (listener: () => void): (() => void) => {
    this.#listeners.add(listener)
    return () => this.#listeners.delete(listener)
  }

  /** The page leaves: the thread ends, and nothing is answered. A later question opens another. */
  close(): void {
    this.#thread.end()
    for (const slot of this.#slots.values()) {
      slot.n = null
      slot.state = { ...slot.state, isWorking: false }
    }
  }

  #slot(place: keyof T & string): Slot {
    let slot = this.#slots.get(place)
    if (!slot) this.#slots.set(place, (slot = { place, n: null, question: undefined, state: NOTHING }))
    return slot
  }

  #set(slot: Slot, state: Omit<Asked<unknown>, 'stale'>): void {
    const { answer, of, asked, failed } = state
    slot.state = { ...state, stale: answer !== null && (of !== asked || failed !== null) }
    for (const listener of this.#listeners) listener()
  }

  #send({ place, n, question }: Slot): void {
    this.#thread.tell({ place, n, question } as DeskOrder<T>)
  }

  /** A thread that does not hear while it works is ended; what others wait for goes to the next. False where the thread hears by itself. */
  #interrupt(slot: Slot): boolean {
    if (!this.#options.endsOvertaken) return false
    this.#thread.end()
    for (const other of this.#slots.values()) if (other !== slot && other.state.isWorking) this.#send(other)
    return true
  }

  #hear(reply: DeskReply<T>): void {
    const slot = [...this.#slots.values()].find((s) => s.n === reply.n)
    if (!slot) return
    const { asked } = slot.state
    if ('failed' in reply) return this.#set(slot, { ...slot.state, isWorking: false, failed: reply.failed })
    const { answer, isLast } = reply
    this.#remember(asked, { answer, isLast })
    this.#set(slot, { ...slot.state, answer, of: asked, isWorking: !isLast })
  }

  #remember(key: unknown, known: { answer: unknown; isLast: boolean }): void {
    const { remembers = 0 } = this.#options
    if (remembers === 0) return
    this.#known.delete(key)
    this.#known.set(key, known)
    const oldest = this.#known.keys().next().value
    if (this.#known.size > remembers) this.#known.delete(oldest)
  }

  #fall(why: string): void {
    const waiting = [...this.#slots.values()].filter((s) => s.state.isWorking)
    for (const slot of waiting) slot.n = null
    for (const slot of waiting)
      this.#set(slot, { ...slot.state, isWorking: false, failed: why, retry: () => this.#retry() })
  }

  #retry(): void {
    for (const { place, question, state } of this.#slots.values())
      if (state.retry) this.ask(place as keyof T & string, question, state.asked)
  }
}
