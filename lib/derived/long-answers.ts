import { signal, type Signal } from '@preact/signals-core'
import type { Elsewhere, LongFact } from './worked-out'

/** A thread that has said nothing for so long is given up: its script may hang on a network that does. ms */
const PATIENCE_MS = 10_000

interface Place {
  known: { question: unknown; answer: unknown } | null
  /** What is being worked out elsewhere. */
  pending: { question: unknown; timer: ReturnType<typeof setTimeout> } | null
  /** Turns when there is something else to say to the same question. */
  news: Signal<number>
}

/** The answers of a graph's long facts. Where nobody lends a thread, or it fails, each is worked out here and now. */
export class LongAnswers {
  readonly #places = new Map<object, Place>()
  #elsewhere: Elsewhere | null = null

  /** In place of whoever lent one before. Returns the way to take it back; what is pending then is worked out without it. */
  lend(elsewhere: Elsewhere): () => void {
    this.#replace(elsewhere)
    return () => this.#giveUp(elsewhere)
  }

  /** Whoever asks depends on what arrives later. */
  answer<Q, A>(fact: LongFact<never, Q, A>, question: Q): A {
    const place = this.#placeOf(fact)
    void place.news.value
    const known = place.known as { question: Q; answer: A } | null
    if (known?.question === question) {
      settle(place, known)
      return known.answer
    }
    const meanwhile =
      this.#elsewhere && known && fact.isLong(question) ? fact.meanwhile(question, known) : undefined
    if (!this.#elsewhere || meanwhile === undefined) {
      const answer = fact.answer(question)
      settle(place, { question, answer })
      return answer
    }
    if (place.pending?.question !== question) this.#ask(this.#elsewhere, place, fact.name, question)
    return meanwhile
  }

  #ask(elsewhere: Elsewhere, place: Place, name: string, question: unknown): void {
    settle(place)
    const pending = { question, timer: setTimeout(() => this.#giveUp(elsewhere), PATIENCE_MS) }
    place.pending = pending
    elsewhere.workOut(name, question, (worked) => {
      if (place.pending !== pending) return
      if (!worked) return this.#giveUp(elsewhere)
      settle(place, { question, answer: worked.answer })
      place.news.value++
    })
  }

  #giveUp(elsewhere: Elsewhere): void {
    if (this.#elsewhere === elsewhere) this.#replace(null)
  }

  /** What the one before still owes is asked for anew. */
  #replace(next: Elsewhere | null): void {
    this.#elsewhere = next
    for (const place of this.#places.values()) {
      if (!place.pending) continue
      settle(place)
      place.news.value++
    }
  }

  #placeOf(fact: object): Place {
    let place = this.#places.get(fact)
    if (!place) this.#places.set(fact, (place = { known: null, pending: null, news: signal(0) }))
    return place
  }
}

/** Nothing is waited for any more. */
function settle(place: Place, known = place.known): void {
  if (place.pending) clearTimeout(place.pending.timer)
  place.pending = null
  place.known = known
}
