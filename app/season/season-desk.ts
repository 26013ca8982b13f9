import { KeptThread, type Thread } from '@/app/threads/kept-thread'
import { startThread } from '@/app/threads/start-thread'
import { threadTrouble } from '@/app/threads/thread-trouble'
import { keepSame } from './keep-same'
import type { SeasonLook, SeasonSeen } from './season-look'
import {
  readNews,
  type SeasonAnswer,
  type SeasonMeeting,
  type SeasonNews,
  type SeasonOrder,
  type SeasonQuestion,
} from './season-messages'

export interface SeasonState {
  /** Null until the device's store was read. */
  meetings: readonly SeasonMeeting[] | null
  /** To the question before, while the next is worked on. */
  answer: SeasonAnswer | null
  /** What somebody chose on the page and its address does not say yet: shown together with its answer, or alone once it has waited. */
  chosen: ChosenQuestion | null
  /** What other screens look at, by its key. */
  seen: ReadonlyMap<string, SeasonSeen>
  /** Why there will be no answer, or why a meeting could not be kept. */
  trouble: string | null
  isDown: boolean
}

export interface ChosenQuestion {
  question: SeasonQuestion
  /** What the address says meanwhile. */
  over: string
}

const NOTHING: SeasonState = {
  meetings: null,
  answer: null,
  chosen: null,
  seen: new Map(),
  trouble: null,
  isDown: false,
}

/** ms that a choice waits for its answer: drawn twice, the answer would come later than the eye expects it. */
const ALONE_AFTER = 200

/** Where the season's questions wait: one thread, the latest question wins. It lives on while other pages are open, so that coming back is quick. */
export class SeasonDesk {
  readonly #thread: KeptThread<SeasonOrder, string>
  #state = NOTHING
  #n = 0
  #question: SeasonQuestion | null = null
  #asked = ''
  #chosen: ChosenQuestion | null = null
  #alone: ReturnType<typeof setTimeout> | undefined
  /** Looks by their JSON, and how many look. */
  readonly #looks = new Map<string, number>()
  #isOnline = false
  #generation: string | null = null
  readonly #listeners = new Set<() => void>()

  /** What comes is packed (`packNews`). */
  constructor(open: () => Thread<SeasonOrder, string>) {
    this.#thread = new KeptThread({
      open,
      hear: (packed) => this.#hear(readNews(packed)),
      fell: (gone) => this.#become({ trouble: threadTrouble('calculation', gone), isDown: true }),
    })
  }

  readonly state = (): SeasonState => this.#state
  readonly subscribe = (listener: () => void): (() => void) => {
    this.#listeners.add(listener)
    return () => void this.#listeners.delete(listener)
  }

  /** The same question again asks nothing: its answer is told anew whenever the board changes. */
  ask(question: SeasonQuestion): void {
    const asked = JSON.stringify(question)
    if (this.#thread.isOpen && asked === this.#asked) return
    this.#question = question
    if (this.#state.isDown) return
    this.#asked = asked
    this.#tell({ kind: 'ask', n: ++this.#n, question })
  }

  /** The newest choice, shown or not. */
  get chosen(): ChosenQuestion | null {
    return this.#chosen
  }

  choose(chosen: ChosenQuestion): void {
    this.#chosen = chosen
    this.ask(chosen.question)
    clearTimeout(this.#alone)
    this.#alone = setTimeout(() => this.#become({ chosen: this.#chosen }), ALONE_AFTER)
  }

  /** The address says something else since, or the page is left. */
  readonly unchoose = (): void => {
    clearTimeout(this.#alone)
    this.#chosen = null
    if (this.#state.chosen) this.#become({ chosen: null })
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
      if (this.#thread.isOpen) this.#tell({ kind: 'look', key, look: null })
    }
  }

  #askFor(key: string) {
    this.#tell({ kind: 'look', key, look: JSON.parse(key) as SeasonLook })
  }

  setOnline(isOnline: boolean): void {
    this.#isOnline = isOnline
    this.#tell({ kind: 'line', isOnline })
  }

  /** [S23] What was fetched of a board before its restore says nothing of the present one. */
  setGeneration(generation: string | null): void {
    const before = this.#generation
    this.#generation = generation ?? before
    if (before === null || generation === null || before === generation) return
    this.#thread.end()
    this.retry()
  }

  keep(meetingId: string): void {
    this.#become({ trouble: null })
    this.#tell({ kind: 'keep', meetingId })
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
    clearTimeout(this.#alone)
    this.#thread.end()
    this.#state = NOTHING
  }

  /** What is asked of a thread that failed waits for `retry`. */
  #tell(order: SeasonOrder) {
    if (!this.#state.isDown) this.#thread.tell(order)
  }

  #hear(news: SeasonNews) {
    if (news.kind === 'meetings')
      this.#become({ meetings: news.isRead ? keepSame(this.#state.meetings, news.meetings) : null })
    else if (news.kind === 'seen') this.#become({ seen: new Map(this.#state.seen).set(news.key, news.seen) })
    else if (news.kind === 'trouble') this.#become({ trouble: news.why })
    // What is asked before is answered as well, only later.
    else if (news.kind === 'searchable') return
    // Told anew whenever the board changes; the answer to a question that was replaced is of no use.
    else if (news.n === this.#n)
      this.#become({ answer: keepSame(this.#state.answer, news.answer), chosen: this.#chosen })
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
