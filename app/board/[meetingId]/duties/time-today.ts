const HALF_DAY = 12 * 3600_000
const DAY = 24 * 3600_000

/** `14:05` as an instant near now: today's, or tomorrow's when today's is long past. Null when it is no time. In the device's zone. */
export function timeToday(text: string, now: number): number | null {
  const match = /^(\d{1,2}):(\d{2})$/.exec(text.trim())
  const [hours, minutes] = [Number(match?.[1]), Number(match?.[2])]
  if (!match || hours > 23 || minutes > 59) return null
  const at = new Date(now).setHours(hours, minutes, 0, 0)
  return at < now - HALF_DAY ? at + DAY : at
}
