import { signal, type Signal } from '@preact/signals-core'
import type { Elsewhere, LongFact } from './worked-out'

interface Known<Q, A> {
  question: Q
  answer: A
}
interface Place {
  known: Known<unknown, unknown> | null
  /** The question that is being worked out elsewhere, or was answered last. */
  asked: unknown
  /** Turns with each answer that arrives. */
  arrived: Signal<number>
}

/** The answers of a graph's long facts. Where nobody lends a thread, or it fails, each is worked out here and now. */
export class LongAnswers {
  readonly #places = new Map<object, Place>()
  #elsewhere: Elsewhere | null = null

  /** Returns the way to take it back; what it still works out is then worked out here when it is next asked for. */
  lend(elsewhere: Elsewhere): () => void {
    this.#elsewhere = elsewhere
    return () => this.#end(elsewhere)
  }

  /** Whoever asks depends on what arrives later. */
  answer<Q, A>(fact: LongFact<never, Q, A>, question: Q): A {
    const place = this.#placeOf(fact)
    void place.arrived.value
    const known = place.known as Known<Q, A> | null
    if (known?.question === question) {
      place.asked = question
      return known.answer
    }
    const meanwhile =
      this.#elsewhere && known && fact.isLong(question) ? fact.meanwhile(question, known) : undefined
    if (!this.#elsewhere || meanwhile === undefined) {
      const answer = fact.answer(question)
      place.known = { question, answer }
      place.asked = question
      return answer
    }
    if (place.asked !== question) this.#ask(this.#elsewhere, place, fact.name, question)
    return meanwhile
  }

  #ask(elsewhere: Elsewhere, place: Place, name: string, question: unknown): void {
    place.asked = question
    elsewhere.workOut(name, question, (worked) => {
      if (!worked) return this.#end(elsewhere)
      if (this.#elsewhere !== elsewhere || place.asked !== question) return
      place.known = { question, answer: worked.answer }
      place.arrived.value++
    })
  }

  #end(elsewhere: Elsewhere): void {
    if (this.#elsewhere !== elsewhere) return
    this.#elsewhere = null
    for (const place of this.#places.values()) place.arrived.value++
  }

  #placeOf(fact: object): Place {
    let place = this.#places.get(fact)
    if (!place) this.#places.set(fact, (place = { known: null, asked: undefined, arrived: signal(0) }))
    return place
  }
}
