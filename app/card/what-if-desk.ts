import { threadTrouble } from '@/app/threads/thread-trouble'
import type { WhatIfAnswers, WhatIfKind, WhatIfQuestion, WhatIfReply } from './what-if-messages'

export interface WhatIfThread {
  postMessage(message: { n: number; question: WhatIfQuestion }): void
  terminate(): void
  onmessage: ((event: MessageEvent<WhatIfReply>) => void) | null
  onerror: ((event: ErrorEvent) => void) | null
}

export interface WhatIfState<K extends WhatIfKind> {
  /** The last good answer; null before the first. */
  answer: WhatIfAnswers[K] | null
  /** It belongs to an earlier question. */
  stale: boolean
  failed: string | null
  /** Try again: there where the thread itself failed. */
  retry?: () => void
}

const NOTHING = { answer: null, stale: false, failed: null }
const KINDS: readonly WhatIfKind[] = ['compare', 'trace', 'learned', 'suggest', 'track', 'turbo', 'gearing']

/** One question at a time with the thread; of each kind only the latest is asked, the comparison before the sweeps. */
export class WhatIfDesk {
  readonly #open: () => WhatIfThread
  #thread: WhatIfThread | null = null
  #running: { n: number; kind: WhatIfKind; key: string } | null = null
  #count = 0
  readonly #waiting = new Map<WhatIfKind, { key: string; question: WhatIfQuestion }>()
  readonly #keys = new Map<WhatIfKind, string>()
  /** The latest question of each kind. */
  readonly #asked = new Map<WhatIfKind, { key: string; question: WhatIfQuestion }>()
  #states: { [K in WhatIfKind]: WhatIfState<K> } = {
    compare: NOTHING,
    gearing: NOTHING,
    turbo: NOTHING,
    track: NOTHING,
    trace: NOTHING,
    learned: NOTHING,
    suggest: NOTHING,
  }
  readonly #listeners = new Set<() => void>()

  constructor(open: () => WhatIfThread) {
    this.#open = open
  }

  ask(key: string, question: WhatIfQuestion): void {
    const { kind } = question
    if (this.#keys.get(kind) === key) return
    this.#keys.set(kind, key)
    this.#waiting.set(kind, { key, question })
    this.#asked.set(kind, { key, question })
    const { answer, failed } = this.#states[kind]
    this.#set(kind, { answer, stale: answer !== null, failed })
    this.#next()
  }

  state = <K extends WhatIfKind>(kind: K): WhatIfState<K> => this.#states[kind]

  subscribe = (listener: () => void): (() => void) => {
    this.#listeners.add(listener)
    return () => this.#listeners.delete(listener)
  }

  close(): void {
    this.#thread?.terminate()
    this.#thread = null
    this.#running = null
    this.#keys.clear()
    this.#waiting.clear()
  }

  #retry(): void {
    for (const [kind, { key, question }] of this.#asked) {
      this.#states = { ...this.#states, [kind]: { ...this.#states[kind], failed: null } }
      this.ask(key, question)
    }
  }

  #set(kind: WhatIfKind, state: WhatIfState<WhatIfKind>): void {
    this.#states = { ...this.#states, [kind]: state }
    for (const listener of this.#listeners) listener()
  }

  #next(): void {
    if (this.#running) return
    const kind = KINDS.find((k) => this.#waiting.has(k))
    const asked = kind && this.#waiting.get(kind)
    if (!kind || !asked) return
    this.#waiting.delete(kind)
    this.#running = { n: ++this.#count, kind, key: asked.key }
    this.#worker().postMessage({ n: this.#count, question: asked.question })
  }

  #worker(): WhatIfThread {
    if (this.#thread) return this.#thread
    const thread = this.#open()
    thread.onmessage = ({ data }) => {
      const running = this.#running
      if (!running || running.n !== data.n) return
      this.#running = null
      const isLatest = this.#keys.get(running.kind) === running.key
      const before = this.#states[running.kind]
      if (data.ok) this.#set(running.kind, { answer: data.answer, stale: !isLatest, failed: null })
      else if (isLatest) this.#set(running.kind, { ...before, failed: data.message })
      this.#next()
    }
    thread.onerror = (event) => {
      this.close()
      const failed = threadTrouble('simulator', event)
      for (const kind of this.#asked.keys())
        this.#set(kind, { ...this.#states[kind], failed, retry: () => this.#retry() })
    }
    return (this.#thread = thread)
  }
}
