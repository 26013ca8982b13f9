const TIME = /^(?:(?:(\d{1,2}):)?(\d{1,3}):)?(\d{1,5}(?:[.,]\d{1,4})?)$/

/**
 * A length of time as timing sheets print it, s: `22.41`, `22,410`, `1:02.41`, `5:02`, `1:05:02.4`. Null for what is none, and where a part after a colon
 * is 60 or more.
 *
 * @example readSeconds('1:02.41') // 62.41
 */
export function readSeconds(text: string): number | null {
  const found = TIME.exec(text.trim())
  if (!found) return null
  const [, hours, minutes, rest = ''] = found
  const seconds = Number(rest.replace(',', '.'))
  if (minutes !== undefined && seconds >= 60) return null
  if (hours !== undefined && Number(minutes) >= 60) return null
  const all = 3600 * Number(hours ?? 0) + 60 * Number(minutes ?? 0) + seconds
  // The sum of whole minutes and a decimal, without the tail that binary fractions leave behind.
  return Number(all.toFixed(4))
}
