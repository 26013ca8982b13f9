import { REF_TARGETS, type BoardView } from '../board'
import { fold, nameKey } from '../board/fold-name'
import { parseNumber } from '../core/parse-number'
import { ok, refuse, type Result } from '../core/result'
import type { Json } from '../core/json'
import type { KitColumn } from './kit-columns'

/** Other units that people write, and what one of them is in the field's own. Exact by definition (inch, ounce: NIST SP 811, appendix B). */
const UNITS: Record<string, Record<string, number>> = {
  mAh: { ah: 1000 },
  g: { kg: 1000, oz: 28.349523125 },
  mm: { cm: 10, in: 25.4 },
  mΩ: { ohm: 1000, Ω: 1000 },
  A: { ma: 0.001 },
  W: { kw: 1000 },
  T: { turns: 1, turn: 1, t: 1 },
}
/** The same unit in other letters. */
const SAME: Record<string, readonly string[]> = {
  mΩ: ['mohm', 'mohms', 'milliohm', 'milliohms', 'mω'],
  'rpm/V': ['kv', 'rpm/volt', 'rpmv'],
  A: ['amp', 'amps'],
  W: ['watt', 'watts'],
  mAh: ['mah'],
}
/** Counts say what they count. */
const COUNTED: Record<string, readonly string[]> = {
  cells: ['cell', 'cells', 's'],
  channels: ['channel', 'channels', 'ch'],
  cycles: ['cycle', 'cycles'],
  runs: ['run', 'runs'],
  maxChargeC: ['c'],
}

/** What one of `written` is in the column's unit; null when it is no unit of it. */
export function unitFactor(column: KitColumn, written: string): number | null {
  const u = written.trim()
  if (column.share && u === '%') return 0.01
  if (u === '' || u === column.unit || u.toLowerCase() === column.unit.toLowerCase()) return 1
  if (SAME[column.unit]?.includes(u.toLowerCase())) return 1
  if (COUNTED[column.field]?.includes(u.toLowerCase())) return 1
  return UNITS[column.unit]?.[u] ?? UNITS[column.unit]?.[u.toLowerCase()] ?? null
}

/** A number with what stands behind it. */
export const NUMBER_AND_UNIT = /^([+−-]?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*([^\d\s].*)?$/

/**
 * A cell's text as the field's value; null for a blank one.
 *
 * @param word what a choice is called on screen
 * @param headerUnit the unit that the column's header names, empty for none
 */
export function readCell(
  view: BoardView,
  column: KitColumn,
  cell: string,
  word: (value: string, field: string) => string,
  headerUnit = '',
): Result<Json> {
  const text = cell.trim()
  if (text === '') return ok(null)
  if (column.ref) return readRef(view, column, text)
  switch (column.kind) {
    case 'number':
      return readNumber(column, text, headerUnit)
    case 'choice':
      return readChoice(column, text, word)
    case 'flag':
      return readFlag(column, text)
    default:
      return column.maxLength !== undefined && text.length > column.maxLength
        ? refuse(
            column.label,
            `${text.slice(0, 30)}…`,
            `is longer than ${column.maxLength} characters`,
            'Shorten it.',
          )
        : ok(text)
  }
}

function readNumber(column: KitColumn, text: string, headerUnit: string): Result<Json> {
  const m = NUMBER_AND_UNIT.exec(text)
  const written = m?.[2]?.trim() ?? ''
  const factor = m ? unitFactor(column, written === '' ? headerUnit : written) : 1
  if (factor === null)
    return refuse(
      column.label,
      text,
      `is not in ${column.share ? '%' : column.unit || 'plain numbers'}`,
      column.share ? 'Give it in %.' : column.unit ? `Give it in ${column.unit}.` : 'Leave the unit out.',
    )
  const plain = parseNumber(column.label, m?.[1] ?? text)
  if (!plain.ok || plain.value === null) return plain
  // “85” of a share means 85%, “0.85” the same: no share is above 1, and none that anybody enters lies at 1% or below.
  const asPercent = column.share && factor === 1 && plain.value > 1
  const value = Number((plain.value * (asPercent ? 0.01 : factor)).toPrecision(12))
  const fits = parseNumber(column.label, String(value), {
    min: column.min,
    max: column.max,
    unit: column.unit,
  })
  if (!fits.ok && column.share)
    return refuse(
      column.label,
      text,
      `must be ${100 * (column.min ?? 0)} to ${100 * (column.max ?? 1)}%`,
      'Check the number.',
    )
  if (!fits.ok) return refuse(column.label, text, fits.error.reason, fits.error.remedy)
  return column.step === 1 && !Number.isInteger(value)
    ? refuse(column.label, text, 'is not a whole number', 'Leave the decimals out.')
    : ok(value)
}

function readChoice(
  column: KitColumn,
  text: string,
  word: (value: string, field: string) => string,
): Result<Json> {
  const wanted = fold(text)
  const names = column.options.map((o) => ({ o, known: [fold(o), fold(word(o, column.field))] }))
  const exact = names.filter((n) => n.known.includes(wanted))
  const begins = names.filter((n) => n.known.some((k) => k.startsWith(wanted)))
  const found = exact.length > 0 ? exact : begins
  if (found.length === 1 && found[0]) return ok(found[0].o)
  return refuse(
    column.label,
    text,
    'is not one of the choices',
    `Write ${column.options.map((o) => word(o, column.field)).join(', ')}.`,
  )
}

function readFlag(column: KitColumn, text: string): Result<Json> {
  if (/^(?:yes|y|true|x|1)$/i.test(text)) return ok(true)
  if (/^(?:no|n|false|0)$/i.test(text)) return ok(false)
  return refuse(column.label, text, 'is neither yes nor no', 'Write yes or no.')
}

function readRef(view: BoardView, column: KitColumn, text: string): Result<Json> {
  if (!column.ref) return ok(null)
  const rows: readonly { id: string; name?: string; label?: string }[] = view[REF_TARGETS[column.ref]].live
  const found = rows.filter((r) => nameKey(r.name ?? r.label ?? '') === nameKey(text))
  if (found.length === 1 && found[0]) return ok(found[0].id)
  return refuse(
    column.label,
    text,
    found.length > 1 ? 'is the name of more than one' : 'is not in the kit',
    found.length > 1 ? 'Give them different names.' : 'Add it to the kit first, or leave the cell blank.',
  )
}
