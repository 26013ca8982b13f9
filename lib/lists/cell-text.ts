import { isRecordId } from '../board'
import { canonicalJson, type Json } from '../core/json'
import { parseNumber } from '../core/parse-number'
import { ok, refuse, type Result } from '../core/result'
import { optionsOf, type ListColumn } from './list-columns'

/** A spreadsheet takes such a cell for a formula. OWASP, "CSV Injection"; the full-width signs too. */
const FORMULA = /^'*(?:\s*[=+\-@\uff1d\uff0b\uff0d\uff20]|[\t\r\n])/

/** Made harmless by an apostrophe, as spreadsheets themselves mark text; one that has it for that reason gets one more. */
export const guarded = (text: string): string => (FORMULA.test(text) ? `'${text}` : text)
export const unguarded = (text: string): string =>
  text.startsWith("'") && FORMULA.test(text.slice(1)) ? text.slice(1) : text

/** As programs write what is very small or very large. */
const POWER_OF_TEN = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)e[+-]?\d+$/i
function numberOf(text: string): number | null {
  const typed = parseNumber('', text)
  if (typed.ok) return typed.value
  return POWER_OF_TEN.test(text.trim()) ? Number(text.trim().replace(',', '.')) : null
}
const YES = ['yes', 'true', '1']
const NO = ['no', 'false', '0']

/** What a record of another list is called; empty when it has no name. */
export type NameOf = (collection: string, recordId: string) => string

/** A cell's text; empty for no value. */
export function cellText({ kind, target }: ListColumn, value: Json | undefined, nameOf: NameOf): string {
  if (value === undefined || value === null) return ''
  switch (kind) {
    case 'number':
      return typeof value === 'number' ? String(value) : canonicalJson(value)
    case 'instant':
      return typeof value === 'number' ? instantText(value) : canonicalJson(value)
    case 'flag':
      return value === true ? 'yes' : 'no'
    case 'ref': {
      const id = String(value)
      if (!isRecordId(id)) return guarded(JSON.stringify(id))
      const name = target === null ? '' : nameOf(target, id)
      return guarded(name === '' ? id : `${name} [${id}]`)
    }
    case 'setting':
      return settingCell(value)
    case 'json':
      return guarded(canonicalJson(value))
    default:
      return guarded(typeof value === 'string' ? value : canonicalJson(value))
  }
}

const instantText = (ms: number): string => new Date(ms).toISOString().replace('.000Z', 'Z')

/** A card's value is a number, a text or yes/no: a text that looks like one of the others stands in JSON's quotes. */
function settingCell(value: Json): string {
  if (typeof value === 'number') return String(value)
  if (typeof value === 'boolean') return value ? 'yes' : 'no'
  const text = typeof value === 'string' ? value : canonicalJson(value)
  return guarded(looksOtherwise(text) ? JSON.stringify(text) : text)
}
const looksOtherwise = (text: string): boolean =>
  text === '' || text.startsWith('"') || numberOf(text) !== null || flagOf(text) !== null

const flagOf = (text: string): boolean | null => {
  const word = text.trim().toLowerCase()
  return YES.includes(word) ? true : NO.includes(word) ? false : null
}

const wrong = (column: ListColumn, text: string, reason: string, remedy: string): Result<never> =>
  refuse(column.header, text.length > 60 ? `${text.slice(0, 60)}…` : text, reason, remedy)

/** A cell's value; null for an empty one. */
export function readCellText(column: ListColumn, cell: string): Result<Json> {
  const text = unguarded(cell)
  if (text === '') return ok(null)
  switch (column.kind) {
    case 'number': {
      const number = numberOf(text)
      return number === null
        ? wrong(column, text, 'is not a number', 'Enter digits with at most one decimal point or comma.')
        : ok(number)
    }
    case 'instant':
      return readInstant(column, text.trim())
    case 'flag': {
      const flag = flagOf(text)
      return flag === null
        ? wrong(column, text, 'is neither yes nor no', 'Enter yes, no or nothing.')
        : ok(flag)
    }
    case 'choice': {
      const options = optionsOf(column)
      const found = options.find((o) => o.toLowerCase() === text.trim().toLowerCase())
      return found === undefined
        ? wrong(column, text, 'is not one of the choices', `Enter ${options.join(', ')}.`)
        : ok(found)
    }
    case 'ref':
      return ok(quotedText(text) ?? /\[([^[\]]+)\]\s*$/.exec(text)?.[1]?.trim() ?? text.trim())
    case 'setting':
      return ok(readSetting(text))
    case 'json':
      try {
        return ok(JSON.parse(text) as Json)
      } catch {
        return wrong(column, text, 'is not JSON', 'Copy the form of another row.')
      }
    default:
      return ok(text)
  }
}

const ISO = /^\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d(\.\d{1,3})?)?(Z|[+-]\d\d:?\d\d)?$/

function readInstant(column: ListColumn, text: string): Result<Json> {
  const m = ISO.exec(text)
  if (!m) return wrong(column, text, 'is not a time', 'Write it as 2026-05-02T09:30:00Z (ISO 8601).')
  if (!m[3]) return wrong(column, text, 'has no time zone', 'Add Z for UTC, or an offset as in +02:00.')
  const ms = Date.parse(text.replace(' ', 'T'))
  // JavaScript takes February 31 for a day of March.
  return Number.isFinite(ms) && isDay(text.slice(0, 10))
    ? ok(ms)
    : wrong(column, text, 'is not a time', 'Check the day and the hour.')
}

/** Whether the calendar has a day, `YYYY-MM-DD`. */
function isDay(day: string): boolean {
  const at = Date.parse(`${day}T00:00Z`)
  return Number.isFinite(at) && new Date(at).toISOString().startsWith(day)
}

/** A text in JSON's quotes; null for any other. */
function quotedText(text: string): string | null {
  if (!text.startsWith('"')) return null
  try {
    const inner: unknown = JSON.parse(text)
    return typeof inner === 'string' ? inner : null
  } catch {
    return null
  }
}

function readSetting(text: string): Json {
  const quoted = quotedText(text)
  if (quoted !== null) return quoted
  return numberOf(text) ?? flagOf(text) ?? text
}
