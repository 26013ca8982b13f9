import { startThread } from '@/app/threads/start-thread'
import { threadTrouble } from '@/app/threads/thread-trouble'
import { keepSame } from './keep-same'
import type { SeasonLook, SeasonSeen } from './season-look'
import {
  readNews,
  type SeasonAnswer,
  type SeasonMeeting,
  type SeasonOrder,
  type SeasonQuestion,
} from './season-messages'

/** The part of a `Worker` that the desk uses. */
export interface SeasonThread {
  postMessage(order: SeasonOrder): void
  terminate(): void
  onmessage: ((event: MessageEvent<string>) => void) | null
  onerror: ((event: ErrorEvent) => void) | null
}

export interface SeasonState {
  /** Null until the device's store was read. */
  meetings: readonly SeasonMeeting[] | null
  /** To the question before, while the next is worked on. */
  answer: SeasonAnswer | null
  /** What other screens look at, by its key. */
  seen: ReadonlyMap<string, SeasonSeen>
  /** Why there will be no answer, or why a meeting could not be kept. */
  trouble: string | null
  isDown: boolean
}

const NOTHING: SeasonState = {
  meetings: null,
  answer: null,
  seen: new Map(),
  trouble: null,
  isDown: false,
}

/** Where the season's questions wait: one thread, the latest question wins. It lives on while other pages are open, so that coming back is quick. */
export class SeasonDesk {
  readonly #open: () => SeasonThread
  #thread: SeasonThread | null = null
  #state = NOTHING
  #n = 0
  #question: SeasonQuestion | null = null
  #asked = ''
  /** Looks by their JSON, and how many look. */
  readonly #looks = new Map<string, number>()
  #isOnline = false
  #generation: string | null = null
  readonly #listeners = new Set<() => void>()

  constructor(open: () => SeasonThread) {
    this.#open = open
  }

  readonly state = (): SeasonState => this.#state
  readonly subscribe = (listener: () => void): (() => void) => {
    this.#listeners.add(listener)
    return () => void this.#listeners.delete(listener)
  }

  /** The same question again asks nothing: its answer is told anew whenever the board changes. */
  ask(question: SeasonQuestion): void {
    const asked = JSON.stringify(question)
    if (this.#thread && asked === this.#asked) return
    this.#question = question
    const thread = this.#running()
    if (!thread) return
    this.#asked = asked
    thread.postMessage({ kind: 'ask', n: ++this.#n, question })
  }

  /** Keeps a look up until the function that it gives is called. `key` is the look as JSON. */
  look(key: string): () => void {
    const before = this.#looks.get(key) ?? 0
    this.#looks.set(key, before + 1)
    if (before === 0) this.#askFor(key)
    return () => {
      const left = (this.#looks.get(key) ?? 1) - 1
      if (left > 0) return void this.#looks.set(key, left)
      this.#looks.delete(key)
      this.#thread?.postMessage({ kind: 'look', key, look: null })
    }
  }

  #askFor(key: string) {
    this.#running()?.postMessage({ kind: 'look', key, look: JSON.parse(key) as SeasonLook })
  }

  setOnline(isOnline: boolean): void {
    this.#isOnline = isOnline
    this.#running()?.postMessage({ kind: 'line', isOnline })
  }

  /** [S23] What was fetched of a board before its restore says nothing of the present one. */
  setGeneration(generation: string | null): void {
    const before = this.#generation
    this.#generation = generation ?? before
    if (before === null || generation === null || before === generation) return
    this.#thread?.terminate()
    this.#thread = null
    this.retry()
  }

  keep(meetingId: string): void {
    this.#become({ trouble: null })
    this.#running()?.postMessage({ kind: 'keep', meetingId })
  }

  /** After the thread failed. */
  readonly retry = (): void => {
    this.#become({ ...NOTHING })
    this.#asked = ''
    this.setOnline(this.#isOnline)
    if (this.#question) this.ask(this.#question)
    for (const key of this.#looks.keys()) this.#askFor(key)
  }

  close(): void {
    this.#thread?.terminate()
    this.#thread = null
    this.#state = NOTHING
  }

  #running(): SeasonThread | null {
    if (this.#thread || this.#state.isDown) return this.#thread
    const thread = (this.#thread = this.#open())
    thread.onmessage = ({ data }) => {
      const news = readNews(data)
      if (news.kind === 'meetings')
        this.#become({ meetings: news.isRead ? keepSame(this.#state.meetings, news.meetings) : null })
      else if (news.kind === 'seen')
        this.#become({ seen: new Map(this.#state.seen).set(news.key, news.seen) })
      else if (news.kind === 'trouble') this.#become({ trouble: news.why })
      // Told anew whenever the board changes; the answer to a question that was replaced is of no use.
      else if (news.n === this.#n) this.#become({ answer: keepSame(this.#state.answer, news.answer) })
    }
    thread.onerror = (event) => {
      if (this.#thread !== thread) return
      thread.terminate()
      this.#thread = null
      this.#become({ trouble: threadTrouble('calculation', event), isDown: true })
    }
    return thread
  }

  #become(part: Partial<SeasonState>) {
    this.#state = { ...this.#state, ...part }
    this.#listeners.forEach((l) => l())
  }
}

let desk: { member: string; desk: SeasonDesk } | null = null

/** The desk of this page for one membership: another person's season must not be shown to the next. */
export function seasonDesk(member: string): SeasonDesk {
  if (desk?.member !== member) {
    desk?.desk.close()
    desk = { member, desk: new SeasonDesk(() => startThread('season')) }
  }
  return desk.desk
}
