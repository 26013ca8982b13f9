/** Large numbers in groups of three from five digits on; a year, a heat or a capacity of four stays whole. */
const grouped = (digits: number | undefined, least: number) =>
  new Intl.NumberFormat('en-US', {
    useGrouping: 'min2',
    minimumFractionDigits: least,
    maximumFractionDigits: digits ?? 9,
  })
const known = new Map<string, Intl.NumberFormat>()

/**
 * A figure as every screen and every paper shows it: a true minus (U+2212), never a minus before zero, large numbers grouped (`12,500`), and its
 * unit after a blank, but degrees and percent, and all that begins with one, right at the number (`−1.5°`, `85°C`, `85%`).
 *
 * @param value not finite: a dash
 * @param digits exactly so many decimals; as many as the value has when left out
 */
export function figureText(
  value: number,
  { digits, unit = '' }: { digits?: number; unit?: string } = {},
): string {
  if (!Number.isFinite(value)) return '–'
  const key = String(digits)
  let format = known.get(key)
  if (!format) known.set(key, (format = grouped(digits, digits ?? 0)))
  const text = format.format(value)
  const isZero = /^-[0.,]*$/.test(text)
  return withUnit(isZero ? text.slice(1) : text.replace('-', '−'), unit)
}

/** A unit after a number that is text already. */
export const withUnit = (text: string, unit: string | undefined): string => `${text}${unitBehind(unit)}`

/** A unit with the blank before it, if it has one there. */
export const unitBehind = (unit: string | undefined): string =>
  !unit ? '' : /^[°%]/.test(unit) ? unit : ` ${unit}`
