/**
 * A time of day as people type it, as `09:05`: `9:05`, `905`, `0905`, `9.05`, `21:05`, `9:05 pm`, `9 pm`. Null when it is none. Always 24 hours
 * unless it says am or pm.
 */
export function readClock(text: string): string | null {
  const m = /^(\d{1,2})(?:[:.\s]?(\d{2}))?\s*(?:([ap])\.?\s?m\.?)?$/i.exec(text.trim())
  if (!m) return null
  const half = m[3]?.toLowerCase()
  // An hour alone may be the beginning of more.
  if (m[2] === undefined && half === undefined) return null
  const minutes = Number(m[2] ?? 0)
  let hours = Number(m[1])
  if (half !== undefined) {
    if (hours < 1 || hours > 12) return null
    hours = (hours % 12) + (half === 'p' ? 12 : 0)
  }
  if (hours > 23 || minutes > 59) return null
  return `${String(hours).padStart(2, '0')}:${String(minutes).padStart(2, '0')}`
}
