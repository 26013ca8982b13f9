import { withUnit } from '../core/figure-text'
import Papa from 'papaparse'
import {
  COLLECTIONS,
  collectionDef,
  collectionNames,
  describeField,
  grantFor,
  schemaBounds,
  type DocKind,
} from '../board'
import { ABOUT_HEADER, hasAbout, ID_HEADER } from './write-list'
import { listColumns, optionsOf, type ListColumn } from './list-columns'

export interface ColumnWords {
  header: string
  /** What it holds, from the board's own table of fields. */
  holds: string
  /** Who may change it. */
  who: string
}

/** What each column of a list means. */
export function explainColumns(doc: DocKind, collection: string): ColumnWords[] {
  const label = collectionDef(doc, collection)?.label ?? collection
  return [
    {
      header: ID_HEADER,
      holds: hasAbout(collection)
        ? 'The row’s id, made of the ids that it belongs to. It stays as it is.'
        : `The row’s id. It stays as it is; leave it empty for a new one (${label.toLowerCase()}).`,
      who: '',
    },
    ...(hasAbout(collection)
      ? [{ header: ABOUT_HEADER, holds: 'What the row is about, for reading only.', who: '' }]
      : []),
    ...listColumns(doc, collection).map((column) => ({
      header: column.header,
      holds: holds(doc, collection, column),
      who: whoMay(doc, collection, column),
    })),
  ]
}

function holds(doc: DocKind, collection: string, column: ListColumn): string {
  if (column.part === 'by') return 'Who wrote it: the board puts that there.'
  if (column.part === 'at') return 'When it was written, UTC: the board puts that there.'
  if (column.part === 'covers') return 'What the signature stands for: the board puts that there.'
  if (column.part === 'why') return 'A reason, if one was given.'
  switch (column.kind) {
    case 'number':
      return rangeWords(column)
    case 'flag':
      return 'yes, or no.'
    case 'choice':
      return `One of: ${optionsOf(column).join(', ')}.`
    case 'instant':
      return 'A time, ISO 8601 with its zone: 2026-05-02T09:30:00Z.'
    case 'ref':
      return `${refLabel(column.target)}, as name and id: Name [id]. The id counts.`
    case 'setting':
      return 'A number, a text, or yes or no.'
    case 'json':
      return 'A list or several values, as JSON.'
    default:
      return textWords(doc, collection, column)
  }
}

function rangeWords(column: ListColumn): string {
  const { unit } = column
  const { min, max, isWhole } = schemaBounds(column.schema)
  const what = isWhole ? 'A whole number' : 'A number'
  const range = typeof min === 'number' && typeof max === 'number' ? ` from ${min} to ${max}` : ''
  return `${withUnit(`${what}${range}`, unit)}.`
}

function textWords(doc: DocKind, collection: string, { field, part }: ListColumn): string {
  const most = part === 'value' ? describeField(doc, collection, field).maxLength : undefined
  return most === undefined ? 'Text.' : `Text of up to ${most} characters.`
}

function refLabel(target: string | null): string {
  if (target === null) return 'Another row'
  const kind: DocKind = Object.hasOwn(COLLECTIONS.kit, target) ? 'kit' : 'meeting'
  return collectionDef(kind, target)?.label ?? target
}

function whoMay(doc: DocKind, collection: string, { field }: ListColumn): string {
  const roles = Object.keys(grantFor(doc, collection, field) ?? {})
  return roles.length === 0 ? 'nobody, through a list' : roles.join(', ')
}

/** All of it as one CSV, for an archive. */
export function columnsCsv(): string {
  const rows = (['kit', 'meeting'] as const).flatMap((doc) =>
    collectionNames(doc).flatMap((collection) =>
      explainColumns(doc, collection).map((c) => [doc, collection, c.header, c.holds, c.who]),
    ),
  )
  return `${Papa.unparse([['board', 'list', 'column', 'what it holds', 'who may change it'], ...rows], { newline: '\r\n' })}\r\n`
}
