import MiniSearch from 'minisearch'
import { isNumber, partsOf, wordsOf } from './search-words'
import { keyOfRun, newestFirst } from './season-filter'
import type { Setting } from '../board'
import type { SeasonRun } from './season-runs'
import { columnsOf, type ValueColumns } from './value-columns'

/** What runs can be found by beside their values: all that is written of them, each text with the runs that have it, by their place in the list. */
export type TextsOf = (runs: readonly SeasonRun[]) => ReadonlyMap<string, readonly number[]>
/** What a value of a card is found by. */
export type ValueText = (id: string, value: Setting) => string

export interface SeasonHit {
  run: SeasonRun
  /** The texts that have what was asked for, the best first. */
  texts: readonly string[]
}

/** A text that one or many runs have. */
interface Text {
  text: string
  /** Each once. */
  words: readonly string[]
  having: Having[]
}
/** A word with the texts that have it. */
interface Word {
  id: number
  word: string
  texts: Set<Text>
}
/** Runs of one meeting: `first` and each of `at` make a run's number. */
interface Having {
  first: number
  at: readonly number[]
}
interface Known {
  key: string
  run: SeasonRun
}
interface KnownMeeting {
  first: number
  runs: readonly SeasonRun[]
  /** Of its values; null once it has been taken apart. */
  columns: ValueColumns | null
  /** Some may stand twice. */
  texts: readonly Text[]
}

/** How well a text has a word: as it is, as the beginning of a longer one, or with a slip of the finger. */
const AS_IS = 3
const BEGINS = 2
const ALMOST = 1
/** Shorter words are looked for as they are: half of all short words are a letter away from one another. Our choice. */
const LEAST_FOR_SLIP = 5

/**
 * All runs of a season, and what is written of them. Runs are there as soon as they are put in; what is written of them is taken apart when somebody searches,
 * or before, by `prepare`. Each different text is taken apart once, however many runs have it, and each different word is indexed once,
 * however many texts have it: most values, names and places are those of many runs, and most words those of many values.
 */
export class SeasonIndex {
  readonly #textsOf: TextsOf
  readonly #valueText: ValueText
  /** Finds words by how they begin, and in spite of a slip. */
  readonly #index = new MiniSearch<Word>({
    fields: ['word'],
    tokenize: (word) => [word],
    processTerm: (word) => word,
  })
  readonly #texts = new Map<string, Text>()
  readonly #words = new Map<string, Word>()
  /** By a number of its own. */
  readonly #runs = new Map<number, Known>()
  readonly #byKey = new Map<string, number>()
  readonly #meetings = new Map<string, KnownMeeting>()
  /** Those whose texts were not taken apart yet. */
  readonly #waiting = new Set<KnownMeeting>()
  #nextWord = 1
  #nextRun = 1
  #revision = 0

  constructor(textsOf: TextsOf, valueText: ValueText) {
    this.#textsOf = textsOf
    this.#valueText = valueText
  }

  get size(): number {
    return this.#runs.size
  }
  /** Another number after each change. */
  get revision(): number {
    return this.#revision
  }
  /** In no order. */
  get runs(): readonly SeasonRun[] {
    return [...this.#runs.values()].map((r) => r.run)
  }
  run(key: string): SeasonRun | undefined {
    return this.#runs.get(this.#byKey.get(key) ?? 0)?.run
  }

  /** Put a meeting's runs in the place of those that were known of it. `columns`: their values. */
  setMeeting(
    meetingId: string,
    runs: readonly SeasonRun[],
    columns: ValueColumns = columnsOf(runs.map((r) => r.values)),
  ): void {
    const before = this.#meetings.get(meetingId)
    const first = this.#nextRun
    this.#nextRun += runs.length
    for (const [n, run] of runs.entries()) {
      const key = keyOfRun(run)
      this.#runs.set(first + n, { key, run })
      this.#byKey.set(key, first + n)
    }
    const meeting = { first, runs, columns, texts: [] }
    this.#meetings.set(meetingId, meeting)
    this.#waiting.add(meeting)
    this.#forget(before)
  }

  removeMeeting(meetingId: string): void {
    this.#forget(this.#meetings.get(meetingId))
    this.#meetings.delete(meetingId)
  }

  /** Take apart what is written of one meeting's runs, so that a search need not; false where nothing is left to do. */
  prepare(): boolean {
    const [meeting] = this.#waiting
    if (!meeting) return false
    this.#waiting.delete(meeting)
    const { first, runs, columns } = meeting
    const texts: Text[] = []
    const have = (text: string, at: readonly number[]) => {
      const known = this.#text(text)
      known.having.push({ first, at })
      texts.push(known)
    }
    for (const [text, at] of this.#textsOf(runs)) have(text, at)
    for (const id in columns)
      for (const [value, at] of columns[id] ?? []) have(this.#valueText(id, value), at)
    Object.assign(meeting, { texts, columns: null })
    return true
  }

  /** Taken apart when it is new. */
  #text(text: string): Text {
    let known = this.#texts.get(text)
    if (!known) {
      known = { text, words: [...new Set(wordsOf(text))], having: [] }
      this.#texts.set(text, known)
      for (const word of known.words) this.#word(word).texts.add(known)
    }
    return known
  }

  /** Indexed when it is new. */
  #word(word: string): Word {
    let known = this.#words.get(word)
    if (!known) {
      known = { id: this.#nextWord++, word, texts: new Set() }
      this.#words.set(word, known)
      this.#index.add(known)
    }
    return known
  }

  #forget(meeting: KnownMeeting | undefined) {
    this.#revision++
    if (!meeting) return
    const { first, runs, texts } = meeting
    this.#waiting.delete(meeting)
    for (let n = first; n < first + runs.length; n++) {
      const key = this.#runs.get(n)?.key ?? ''
      this.#runs.delete(n)
      if (this.#byKey.get(key) === n) this.#byKey.delete(key)
    }
    for (const t of texts) {
      t.having = t.having.filter((h) => h.first !== first)
      if (t.having.length > 0 || !this.#texts.delete(t.text)) continue
      for (const of of t.words) {
        const word = this.#words.get(of)
        word?.texts.delete(t)
        if (!word || word.texts.size > 0) continue
        this.#index.remove(word)
        this.#words.delete(of)
      }
    }
  }

  /**
   * Runs that have every part of a question, in whatever texts: those whose texts have it best first, then the newest. Null where the question asks for nothing.
   */
  search(question: string, isAsked: (run: SeasonRun) => boolean = () => true): SeasonHit[] | null {
    const parts = partsOf(question)
    if (parts.length === 0) return null
    while (this.prepare()) continue
    let found: Map<number, Map<Text, number>> | null = null
    for (const part of parts) {
      const of = this.#having(part)
      const both: Map<number, Map<Text, number>> = new Map()
      for (const [n, texts] of of) {
        const before: Map<Text, number> | undefined = found?.get(n)
        if (found && !before) continue
        both.set(n, before ? sum(before, texts) : texts)
      }
      found = both
    }
    return [...(found ?? [])]
      .flatMap(([n, texts]) => {
        const run = this.#runs.get(n)?.run
        return run && isAsked(run) ? [{ run, texts }] : []
      })
      .map(({ run, texts }) => {
        const best = [...texts].sort(([a, x], [b, y]) => y - x || (a.text < b.text ? -1 : 1))
        // A text that has all of it tells more than several that have a part each.
        return { run, texts: best.map(([t]) => t.text), rank: best[0]?.[1] ?? 0 }
      })
      .sort((a, b) => b.rank - a.rank || newestFirst(a.run, b.run))
      .map(({ run, texts }) => ({ run, texts }))
  }

  /** The runs that have a part, each with its texts and how well they do. */
  #having(part: readonly string[]): Map<number, Map<Text, number>> {
    const [first = '', second] = part
    const texts = this.#withWord(first)
    if (second === undefined) return byRun(texts)
    const others = this.#withWord(second)
    const both = new Map<Text, number>()
    for (const [text, quality] of texts) {
      const other = others.get(text)
      if (other !== undefined) both.set(text, quality + other)
    }
    if (both.size > 0) return byRun(both)
    // No text has the two: then the number may stand anywhere.
    const of = byRun(others)
    const apart = new Map<number, Map<Text, number>>()
    for (const [n, had] of byRun(texts)) {
      const also = of.get(n)
      if (also) apart.set(n, sum(had, also))
    }
    return apart
  }

  #withWord(word: string): Map<Text, number> {
    const isWhole = isNumber(word) || word.length < 2
    const found = this.#index.search(word, {
      prefix: !isWhole,
      fuzzy: !isWhole && word.length >= LEAST_FOR_SLIP ? 1 : false,
    })
    const out = new Map<Text, number>()
    for (const { terms } of found)
      for (const term of terms) {
        const quality = term === word ? AS_IS : term.startsWith(word) ? BEGINS : ALMOST
        for (const text of this.#words.get(term)?.texts ?? [])
          if ((out.get(text) ?? 0) < quality) out.set(text, quality)
      }
    return out
  }
}

function byRun(texts: ReadonlyMap<Text, number>): Map<number, Map<Text, number>> {
  const out = new Map<number, Map<Text, number>>()
  for (const [text, quality] of texts)
    for (const { first, at } of text.having)
      for (const i of at) {
        const known = out.get(first + i)
        if (known) known.set(text, quality)
        else out.set(first + i, new Map([[text, quality]]))
      }
  return out
}

function sum(a: ReadonlyMap<Text, number>, b: ReadonlyMap<Text, number>): Map<Text, number> {
  const out = new Map(a)
  for (const [text, quality] of b) out.set(text, (out.get(text) ?? 0) + quality)
  return out
}
