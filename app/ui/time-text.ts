/** Times of day as the pit reads them: 24 hours, the device's own zone. Instants are ms since the epoch. */
const clock = new Intl.DateTimeFormat('en-GB', { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' })
const clockSeconds = new Intl.DateTimeFormat('en-GB', {
  hour: '2-digit',
  minute: '2-digit',
  second: '2-digit',
  hourCycle: 'h23',
})
const day = new Intl.DateTimeFormat('en-US', {
  weekday: 'long',
  day: 'numeric',
  month: 'long',
  year: 'numeric',
})
const shortDay = new Intl.DateTimeFormat('en-US', { weekday: 'short', day: 'numeric', month: 'short' })

/** `14:20` */
export const timeText = (at: number): string => clock.format(at)
/** `14:20:05` */
export const timeSecondsText = (at: number): string => clockSeconds.format(at)
/** `Saturday, May 2, 2026` */
export const dayText = (at: number): string => day.format(at)
/** `Sat, May 2` */
export const shortDayText = (at: number): string => shortDay.format(at)

/** `14:20` on the same day, else `Fri, May 1, 14:20`. */
export const whenText = (at: number, now: number): string =>
  shortDay.format(at) === shortDay.format(now) ? timeText(at) : `${shortDayText(at)}, ${timeText(at)}`

/** How long ago, in words: `just now`, `4 min ago`, `2 h ago`, else the day. */
export function agoText(at: number, now: number): string {
  const s = (now - at) / 1000
  if (s < 45) return 'just now'
  if (s < 3600) return `${Math.max(1, Math.round(s / 60))} min ago`
  if (s < 36 * 3600) return `${Math.round(s / 3600)} h ago`
  return shortDayText(at)
}

/** A length of time in whole minutes or hours: `50 s`, `14 min`, `2 h 05 min`, `12 h`. ms in. */
export function durationText(ms: number): string {
  const s = Math.max(0, Math.round(ms / 1000))
  if (s < 60) return `${s} s`
  if (s < 90 * 60) return `${Math.round(s / 60)} min`
  const minutes = Math.round(s / 60)
  const h = Math.floor(minutes / 60)
  if (h < 24 && minutes % 60 === 0) return `${h} h`
  return h >= 24
    ? `${Math.floor(h / 24)} d ${h % 24} h`
    : `${h} h ${String(minutes % 60).padStart(2, '0')} min`
}

/** The day's drift: `±40 s`, `±2 min`. Seconds in; empty when there is none. */
export const plusMinusText = (seconds: number): string =>
  seconds <= 0 ? '' : seconds < 90 ? `±${Math.round(seconds)} s` : `±${Math.round(seconds / 60)} min`

/** Past this, a clock that runs says less than the day. ms */
export const DAY_SAYS_MORE_MS = 24 * 3_600_000

/**
 * A countdown's face: `14:20.3` before, `0:05 ago` after, minutes when it is an hour or more away (`1 h 10`: nobody waits by the second yet), and
 * the day itself when it is a day or more away: `Sat, May 2`, `was Sat, May 2`. ms in; cut, not rounded, so that two phones agree.
 *
 * @param to the moment, for its day
 * @param passed the word for a moment that has passed: a call was `ago`, a race is `over`, and only the day's drift is `late`
 */
export function countdownText(
  ms: number,
  to: number,
  { tenths = true, passed = 'ago' }: { tenths?: boolean; passed?: 'ago' | 'over' | 'late' } = {},
): string {
  const isPast = ms < 0
  if (Math.abs(ms) >= DAY_SAYS_MORE_MS) return isPast ? `was ${shortDayText(to)}` : shortDayText(to)
  const t = Math.floor(Math.abs(ms) / 100)
  const s = Math.floor(t / 10)
  const h = Math.floor(s / 3600)
  const m = Math.floor((s % 3600) / 60)
  const body = h ? `${h} h ${String(m).padStart(2, '0')}` : `${m}:${String(s % 60).padStart(2, '0')}`
  if (isPast) return `${body} ${passed}`
  return `${body}${tenths && !h ? `.${t % 10}` : ''}`
}
