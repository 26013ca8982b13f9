import { readClock } from '@/lib/core/read-clock'

const HALF_DAY = 12 * 3600_000
const DAY = 24 * 3600_000

/** `14:05` as an instant near now: today's, or tomorrow's when today's is long past. Null when it is no time. In the device's zone. */
export function timeToday(text: string, now: number): number | null {
  const clock = readClock(text)
  if (clock === null) return null
  const at = new Date(now).setHours(Number(clock.slice(0, 2)), Number(clock.slice(3)), 0, 0)
  return at < now - HALF_DAY ? at + DAY : at
}
