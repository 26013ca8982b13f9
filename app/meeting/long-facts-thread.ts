import type { Elsewhere } from '@/lib/derived'
import { Desk, type DeskThread } from '@/app/threads/desk'
import { startThread } from '@/app/threads/start-thread'
import type { LongFacts } from './long-facts'

type Done = Parameters<Elsewhere['workOut']>[2]

/** Works out a board's long facts in a thread of their own, which is opened by the first question. Where it fails the screen works them out itself. */
export class LongFactsThread implements Elsewhere {
  readonly #desk: Desk<LongFacts>
  readonly #waiting = new Map<keyof LongFacts, { question: unknown; done: Done }>()

  constructor(open: () => DeskThread<LongFacts>) {
    this.#desk = new Desk(open, { words: ({ message }) => message })
    this.#desk.subscribe(() => this.#hear())
  }

  workOut(name: string, question: unknown, done: Done): void {
    const place = name as keyof LongFacts
    this.#waiting.set(place, { question, done })
    this.#desk.ask(place, question as LongFacts[typeof place]['question'])
  }

  close(): void {
    this.#waiting.clear()
    this.#desk.close()
  }

  #hear(): void {
    for (const [place, { question, done }] of [...this.#waiting]) {
      const { asked, of, answer, failed, isWorking } = this.#desk.state(place)
      if (asked !== question || isWorking) continue
      this.#waiting.delete(place)
      done(failed === null && of === question ? { answer } : null)
    }
  }
}

export const openLongFacts = (): LongFactsThread => new LongFactsThread(() => startThread('long-facts'))
