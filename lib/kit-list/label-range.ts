import { fold } from '../board/fold-name'
import { ok, refuse, type Result } from '../core/result'

/** So many labels one range may name. */
export const MOST_LABELS = 200
const RANGE = /^(.*?)(\d{1,6})\s*(?:to|through|–|—|-|\.{2,3}|…)\s*(.*?)(\d{1,6})$/i

/**
 * The labels that a range stands for: `P1 to P12`, `P01-P12`, `T7..9`. A text that is no range is its own only label. Zeros in front stay.
 *
 * Errors: a range that goes down, differs in its letters, or names more than 200.
 *
 * @example labelRange('P9 to P11') // P9, P10, P11
 */
export function labelRange(text: string): Result<string[]> {
  const t = text.trim()
  const m = RANGE.exec(t)
  if (!m) return ok([t])
  const [, head = '', from = '', again = '', to = ''] = m
  if (again.trim() !== '' && again.trim().toLowerCase() !== head.trim().toLowerCase()) return ok([t])
  const [first, last] = [Number(from), Number(to)]
  if (last < first) return refuse('Range', t, 'counts down', `Write ${head}${to} to ${head}${from}.`)
  if (last - first + 1 > MOST_LABELS)
    return refuse('Range', t, `names ${last - first + 1} things`, `Add at most ${MOST_LABELS} at once.`)
  const width = from.startsWith('0') ? from.length : 0
  return ok(Array.from({ length: last - first + 1 }, (_, i) => head + String(first + i).padStart(width, '0')))
}

/**
 * So many labels from the first one on, as people write a range of them.
 *
 * @param first ends in a number
 * @param count at least 1
 * @example countedRange('P13', 12) // P13 to P24
 */
export function countedRange(first: string, count: number): string {
  const m = /^(.*?)(\d+)$/.exec(first.trim())
  if (!m || count === 1) return first.trim()
  const [, head = '', from = ''] = m
  const last = String(Number(from) + count - 1).padStart(from.startsWith('0') ? from.length : 0, '0')
  return `${first.trim()} to ${head}${last}`
}

/** The label after the highest one in use that begins like it: `P12` after P1 to P11. */
export function nextLabel(label: string, taken: readonly string[]): string {
  const m = /^(.*?)(\d+)$/.exec(label.trim())
  if (!m) return ''
  const [, head = '', digits = ''] = m
  const used = taken.flatMap((t) => {
    const n = /^(.*?)(\d+)$/.exec(t.trim())
    return n && n[1]?.toLowerCase() === head.toLowerCase() ? [Number(n[2])] : []
  })
  return (
    head +
    String(Math.max(Number(digits), ...used) + 1).padStart(digits.startsWith('0') ? digits.length : 0, '0')
  )
}

const plain = (label: string) => fold(label).replace(/(^|\D)0+(?=\d)/g, '$1')

/** Nobody tells `P1` from `P01` at the charger. */
export const sameLabel = (a: string, b: string): boolean => plain(a) === plain(b)
