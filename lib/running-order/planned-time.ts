import { ok, refuse, type Result } from '../core/result'

export interface Day {
  year: number
  /** 1 to 12. */
  month: number
  day: number
}
export interface ClockTime {
  hour: number
  minute: number
  second: number
}
/** What a cell says about when: a day, a time of day, both, or a complete instant. */
export interface When {
  day?: Day
  /** 0 Sunday to 6 Saturday: a day named without its date. */
  weekday?: number
  clock?: ClockTime
  /** ms since the epoch, where the cell carries its own offset from UTC. */
  instant?: number
}
export type DateOrder = 'day-first' | 'month-first'

/** A wall-clock time at the track as ms since the epoch. Screens use the phone's own zone; tests fix one. */
export type ToInstant = (day: Day, clock: ClockTime) => number
export const localInstant: ToInstant = (d, c) =>
  new Date(d.year, d.month - 1, d.day, c.hour, c.minute, c.second).getTime()

export const dayOfInstant = (at: number): Day => {
  const d = new Date(at)
  return { year: d.getFullYear(), month: d.getMonth() + 1, day: d.getDate() }
}

/** The same day, moved by whole days. */
export function addDays(day: Day, days: number): Day {
  const d = new Date(Date.UTC(day.year, day.month - 1, day.day + days))
  return { year: d.getUTCFullYear(), month: d.getUTCMonth() + 1, day: d.getUTCDate() }
}
export const weekdayOf = (d: Day): number => new Date(Date.UTC(d.year, d.month - 1, d.day)).getUTCDay()

const WEEKDAYS = ['sunday', 'monday', 'tuesday', 'wednesday', 'thursday', 'friday', 'saturday']
const MONTHS = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec']

const CLOCK =
  /(?<![\d.:/-])(\d{1,2})(?:[:.h](\d{2})(?:[:.](\d{2})(?:[.,]\d+)?)?)?\s*(a\.?m\.?|p\.?m\.?)?(?:\s*(?:h|hrs|uhr|uur))?$/i
const ISO =
  /^(\d{4})-(\d{2})-(\d{2})(?:[T ](\d{2}):(\d{2})(?::(\d{2})(?:[.,]\d+)?)?\s*(Z|[+-]\d{2}:?\d{2})?)?$/i

const noTime = (text: string) =>
  refuse('Planned start', text, 'is not a time of day', 'Write it like 9:05, 14:20 or 2:20 PM.')
const noDay = (text: string) =>
  refuse('Date', text, 'is not a date', 'Write it like 2026-05-02, 2.5.2026 or Saturday.')

/**
 * Reads a time, a date, or both: `9:05`, `09.05`, `0905`, `9:05 AM`, `2 pm`, `2026-05-02T09:05`, `2.5.2026 09:05`, `Sat 9:05`.
 *
 * Errors: neither, or a number out of its range (such as 11:75 or 30 February).
 * Source of the ISO forms: ISO 8601-1:2019, extended format. The others are common practice, no source.
 */
export function readWhen(
  input: string,
  order: DateOrder = 'day-first',
  column: 'time' | 'date' = 'time',
): Result<When> {
  const text = input.trim()
  // 02.05.26 is a date where dates stand, and 26 seconds past 2:05 where times do.
  if (column === 'date') {
    const day = readDay(text, order)
    if (day.ok) return day
  }
  const iso = ISO.exec(text)
  if (iso) return readIso(iso, text)
  if (/^([01]\d|2[0-3])[0-5]\d$/.test(text))
    return ok({ clock: { hour: Number(text.slice(0, 2)), minute: Number(text.slice(2)), second: 0 } })

  const clockMatch = CLOCK.exec(text)
  const hasClock = clockMatch !== null && (clockMatch[2] !== undefined || clockMatch[4] !== undefined)
  const dayPart = (hasClock ? text.slice(0, clockMatch.index) : text).replace(/[\s,]+$|\bat\s*$/gi, '').trim()
  const out: When = {}
  if (dayPart !== '') {
    const day = readDay(dayPart, order)
    if (!day.ok) return hasClock || column === 'date' ? day : noTime(text)
    Object.assign(out, day.value)
  }
  if (hasClock) {
    const clock = readClock(clockMatch)
    if (!clock) return noTime(text)
    out.clock = clock
  }
  return dayPart === '' && !hasClock ? noTime(text) : ok(out)
}

function readClock(m: RegExpExecArray): ClockTime | null {
  let hour = Number(m[1])
  const minute = Number(m[2] ?? 0)
  const second = Number(m[3] ?? 0)
  const half = m[4]?.[0]?.toLowerCase()
  if (half === 'a' && hour > 12) return null
  if (half === 'a' && hour === 12) hour = 0
  if (half === 'p' && hour < 12) hour += 12
  return hour > 23 || minute > 59 || second > 59 ? null : { hour, minute, second }
}

function readIso(m: RegExpExecArray, text: string): Result<When> {
  const day = checkedDay(Number(m[1]), Number(m[2]), Number(m[3]))
  if (!day) return noDay(text)
  if (m[4] === undefined) return ok({ day })
  const clock = { hour: Number(m[4]), minute: Number(m[5]), second: Number(m[6] ?? 0) }
  if (clock.hour > 23 || clock.minute > 59 || clock.second > 59) return noTime(text)
  const zone = m[7]?.toUpperCase()
  if (!zone) return ok({ day, clock })
  const utc = Date.UTC(day.year, day.month - 1, day.day, clock.hour, clock.minute, clock.second)
  const digits = zone === 'Z' ? '0000' : zone.slice(1).replace(':', '')
  const offset = (Number(digits.slice(0, 2)) * 60 + Number(digits.slice(2))) * 60_000
  return ok({ day, clock, instant: utc - (zone.startsWith('-') ? -offset : offset) })
}

function readDay(text: string, order: DateOrder): Result<When> {
  const named = weekdayIn(text)
  const rest = named === null ? text : text.replace(/^\p{L}+\.?,?\s*/u, '').trim()
  if (rest === '') return named === null ? noDay(text) : ok({ weekday: named })
  const iso = ISO.exec(rest)
  if (iso && iso[4] === undefined) return readIso(iso, text)
  const numeric = /^(\d{1,2})[./-](\d{1,2})[./-](\d{2}|\d{4})$/.exec(rest)
  if (numeric) {
    const [a, b, year] = [Number(numeric[1]), Number(numeric[2]), fullYear(Number(numeric[3]))]
    // Only one reading makes sense when one of the numbers is above 12.
    const monthFirst = b > 12 || (order === 'month-first' && a <= 12)
    const day = monthFirst ? checkedDay(year, a, b) : checkedDay(year, b, a)
    return day ? ok({ day }) : noDay(text)
  }
  const words =
    /^(\d{1,2})(?:st|nd|rd|th|\.)?\s+(\p{L}{3,})\.?,?\s+(\d{4})$/u.exec(rest) ??
    swap(/^(\p{L}{3,})\.?\s+(\d{1,2})(?:st|nd|rd|th)?,?\s+(\d{4})$/u.exec(rest))
  const month = words ? MONTHS.indexOf((words[2] ?? '').slice(0, 3).toLowerCase()) + 1 : 0
  const day = words && month > 0 ? checkedDay(Number(words[3]), month, Number(words[1])) : null
  return day ? ok({ day }) : noDay(text)
}

const swap = (m: RegExpExecArray | null) => (m ? [m[0], m[2], m[1], m[3]] : null)
const fullYear = (y: number) => (y < 100 ? 2000 + y : y)

function weekdayIn(text: string): number | null {
  const word = /^(\p{L}{3,9})\b/u.exec(text)?.[1]?.toLowerCase()
  if (!word) return null
  const i = WEEKDAYS.findIndex((w) => w === word || (word.length <= 5 && w.startsWith(word)))
  return i < 0 ? null : i
}

function checkedDay(year: number, month: number, day: number): Day | null {
  const d = new Date(Date.UTC(year, month - 1, day))
  const real = d.getUTCFullYear() === year && d.getUTCMonth() === month - 1 && d.getUTCDate() === day
  return real && year >= 2000 && year < 2100 ? { year, month, day } : null
}
