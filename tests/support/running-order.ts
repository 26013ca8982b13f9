import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { guessLayout, readRunningOrder, type ReadingChoices } from '@/lib/running-order'
import { decodeText, readTable } from '@/lib/tables'
import type { Result } from '@/lib/core/result'

export const valueOf = <T>(r: Result<T>): T => {
  if (!r.ok) throw new Error(JSON.stringify(r.error))
  return r.value
}

/** A track in a zone two hours ahead of UTC, so that tests read the same everywhere. */
export const READING: ReadingChoices = {
  firstDay: { year: 2026, month: 10, day: 10 },
  dateOrder: 'day-first',
  defaultRound: 'Round 1',
  defaultClass: '',
  rollOver: true,
  toInstant: (d, c) => Date.UTC(d.year, d.month - 1, d.day, c.hour - 2, c.minute, c.second),
}

/** `10.10. 9:05` at that track. */
export const shownAt = (at: number | null): string => {
  if (at === null) return 'no time'
  const d = new Date(at + 2 * 3600_000)
  return `${d.getUTCDate()}.${d.getUTCMonth() + 1}. ${d.getUTCHours()}:${String(d.getUTCMinutes()).padStart(2, '0')}`
}

export const demoFile = (name: string): Uint8Array =>
  new Uint8Array(readFileSync(fileURLToPath(new URL(`../../demo/running-orders/${name}`, import.meta.url))))

/** A file read with everything as guessed. */
export function readFile(bytes: Uint8Array, choices: Partial<ReadingChoices> = {}) {
  const text = valueOf(decodeText(bytes))
  const table = valueOf(readTable(text.text))
  const layout = guessLayout(table.rows)
  return { text, table, layout, order: readRunningOrder(table, layout, { ...READING, ...choices }) }
}
export const readText = (text: string, choices: Partial<ReadingChoices> = {}) =>
  readFile(new TextEncoder().encode(text), choices)
