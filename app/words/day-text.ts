import { readClock } from '@/lib/core/read-clock'
import { ok, refuse, type Result } from '@/lib/core/result'

/** `2026-10-10`, as a date field holds it, for an instant in the device's zone. */
export function dateInputText(at: number): string {
  const d = new Date(at)
  return `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())}`
}
/** `09:05` */
export function timeInputText(at: number): string {
  const d = new Date(at)
  return `${two(d.getHours())}:${two(d.getMinutes())}`
}
const two = (n: number) => String(n).padStart(2, '0')

/** Midnight of the day that a date field holds, in the device's zone, ms since the epoch. */
export function dayFromInput(label: string, text: string): Result<number> {
  const m = /^(\d{4})-(\d{2})-(\d{2})$/.exec(text)
  if (!m) return refuse(label, text, text === '' ? 'is missing' : 'is not a date', 'Pick the day.')
  const at = new Date(Number(m[1]), Number(m[2]) - 1, Number(m[3])).getTime()
  const year = Number(m[1])
  return year < 2000 || year > 2099 ? refuse(label, text, 'is not in this century', 'Pick the day.') : ok(at)
}

/** An instant from a date and a time field; null when the time is blank. */
export function instantFromInputs(label: string, day: string, time: string): Result<number | null> {
  if (time === '') return ok(null)
  const date = dayFromInput(label, day)
  if (!date.ok) return date
  const clock = readClock(time)
  if (clock === null) return refuse(label, time, 'is not a time of day', 'Enter it as 9:05, 905 or 21:05.')
  const d = new Date(date.value)
  d.setHours(Number(clock.slice(0, 2)), Number(clock.slice(3)))
  return ok(d.getTime())
}
