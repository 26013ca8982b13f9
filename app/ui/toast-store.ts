import type { Refusal } from '@/lib/core/result'

/** One field that was changed, so that two steps of it are told as one: `Resistance 9 → 9.2`. */
export interface ChangeSaid {
  what: string
  from: string
  to: string
}

export type ToastNews =
  | { kind: 'said'; text: string }
  /** Something was done that one tap takes back. */
  | { kind: 'undo'; text: string; change: ChangeSaid | null; onUndo: () => void }
  | { kind: 'refused'; refusal: Refusal }

export interface Timing {
  /** Calls back once after so many ms; returns the way to stop. */
  after: (ms: number, run: () => void) => () => void
}

/** ms; an undo offer stays long enough to walk back to the bench, a refusal until it is read and closed. */
export const STAY = { said: 6_000, undo: 12_000, refused: Infinity } as const

const realTiming: Timing = {
  after: (ms, run) => {
    const timer = setTimeout(run, ms)
    return () => clearTimeout(timer)
  },
}

export const changeText = ({ what, from, to }: ChangeSaid): string =>
  from === '' ? `${what} set to ${to}` : `${what} ${from} → ${to === '' ? 'nothing' : to}`

/**
 * One notice at a time: the newest says what was done last, and steps of one field become one. A refusal stays until it is closed or its page
 * is left; what is done meanwhile can be taken back by the command list. While a dialog is open everything but a refusal waits for its end.
 */
export class ToastStore {
  #news: ToastNews | null = null
  #dialogs = 0
  #stop: () => void = () => undefined
  readonly #listeners = new Set<() => void>()
  readonly #timing: Timing

  constructor(timing: Timing = realTiming) {
    this.#timing = timing
  }

  subscribe = (listener: () => void): (() => void) => {
    this.#listeners.add(listener)
    return () => void this.#listeners.delete(listener)
  }
  /** What is to be shown now. */
  shown = (): ToastNews | null => (this.#dialogs > 0 && this.#news?.kind !== 'refused' ? null : this.#news)

  inDialog = (): boolean => this.#dialogs > 0

  add(news: ToastNews): void {
    const last = this.#news
    if (last?.kind === 'refused' && news.kind !== 'refused') return
    this.#news = last && merged(last, news)
    this.#news ??= news
    this.#changed()
  }

  clear = (): void => {
    this.#news = null
    this.#changed()
  }

  /** A dialog opened; call what comes back when it closes. */
  dialog = (): (() => void) => {
    this.#dialogs++
    this.#changed()
    return () => {
      this.#dialogs--
      this.#changed()
    }
  }

  #changed(): void {
    this.#stop()
    const news = this.shown()
    const stay = news ? STAY[news.kind] : Infinity
    this.#stop = Number.isFinite(stay) ? this.#timing.after(stay, this.clear) : () => undefined
    for (const listener of this.#listeners) listener()
  }
}

/** Null when the two have nothing to do with each other. */
function merged(last: ToastNews, next: ToastNews): ToastNews | null {
  if (last.kind !== 'undo' || next.kind !== 'undo' || !last.change || last.change.what !== next.change?.what)
    return null
  const change = { ...next.change, from: last.change.from }
  return {
    kind: 'undo',
    text: changeText(change),
    change,
    onUndo: () => {
      next.onUndo()
      last.onUndo()
    },
  }
}
