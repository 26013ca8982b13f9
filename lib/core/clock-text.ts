/**
 * A length of time as a race clock shows it: `4:59.9`, `5:00.0`. Rounded before it is taken apart, so that no second is ever 60.
 *
 * @param seconds not finite: a dash
 * @param digits of a second, 0 to 3
 */
export function clockText(seconds: number, digits = 1): string {
  if (!Number.isFinite(seconds)) return '–'
  const unit = 10 ** digits
  const all = Math.round(Math.abs(seconds) * unit)
  const minutes = Math.floor(all / (60 * unit))
  const rest = ((all % (60 * unit)) / unit).toFixed(digits)
  const sign = seconds < 0 && all > 0 ? '−' : ''
  return `${sign}${minutes}:${rest.padStart(digits ? 3 + digits : 2, '0')}`
}
