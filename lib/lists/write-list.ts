import Papa from 'papaparse'
import { docOf, type BoardDocs, type DocKind, type KitCollection, type MeetingCollection } from '../board'
import type { Json } from '../core/json'
import { cellText, guarded, type NameOf } from './cell-text'
import { listColumns, type ListColumn } from './list-columns'
import { listRecords, namesOf, type ListRecord } from './list-records'

/** The byte order mark by which some spreadsheets know that a file is UTF-8. */
export const UTF8_MARK = '\ufeff'
export const ID_HEADER = 'id'
/** Only for reading: which car and what a record with a composite id is about. */
export const ABOUT_HEADER = 'about'

/** How the records of each list are known: by ids of their own, or by those of the records that they belong to. */
const KNOWN_BY: Readonly<Record<KitCollection | MeetingCollection, 'own' | 'others'>> = {
  people: 'own',
  cars: 'own',
  motors: 'own',
  controllers: 'own',
  controllerParameters: 'own',
  packs: 'own',
  packReadings: 'own',
  chargers: 'own',
  supplies: 'own',
  tireSets: 'own',
  checklists: 'own',
  checklistItems: 'own',
  followUpRules: 'own',
  handlingWords: 'own',
  rulesOfThumb: 'own',
  serviceRules: 'own',
  serviceDone: 'own',
  ruleSheets: 'own',
  tracks: 'own',
  meetings: 'own',
  meeting: 'own',
  classes: 'own',
  rounds: 'own',
  heats: 'own',
  entries: 'own',
  runs: 'others',
  lapMarks: 'others',
  remarks: 'others',
  cardValues: 'others',
  followUps: 'others',
  checks: 'others',
  notes: 'own',
  photos: 'own',
  conditions: 'own',
  proposals: 'own',
  charges: 'own',
  duties: 'others',
  jobs: 'own',
}

export const hasAbout = (collection: string): boolean =>
  Object.hasOwn(KNOWN_BY, collection) && KNOWN_BY[collection as keyof typeof KNOWN_BY] === 'others'

/** A part of a field's value as it stands in a column of its own. */
export function partOf(
  value: Json | undefined,
  { field: _, part }: ListColumn,
  isSigned: boolean,
): Json | undefined {
  if (!isSigned) return value
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return undefined
  if (part === 'value') return value['v']
  if (typeof part === 'string') return value[part]
  const inner = value['v']
  return typeof inner === 'object' && inner !== null && !Array.isArray(inner) ? inner[part.of] : undefined
}

export interface ListWish {
  /** Removed records too. */
  removed?: boolean
}

/**
 * A list of the board as CSV: RFC 4180, CRLF, a header row, units in the headers, times as ISO 8601 in UTC, references as `Name [id]`. What a
 * spreadsheet would take for a formula is made harmless where it parts cells by commas; by another sign it may find one inside a cell.
 */
export function writeList(docs: BoardDocs, doc: DocKind, collection: string, wish: ListWish = {}): string {
  const from = docOf(docs, doc)
  const columns = listColumns(doc, collection)
  const nameOf = namesOf(docs)
  const about = hasAbout(collection)
  const records = from ? listRecords(from, collection) : []
  const rows = records
    .filter((r) => wish.removed === true || r.values['removed'] !== true)
    .map((r) => [
      guarded(r.id),
      ...(about ? [guarded(aboutText(r.id, nameOf))] : []),
      ...rowCells(columns, r, nameOf),
    ])
  const header = [ID_HEADER, ...(about ? [ABOUT_HEADER] : []), ...columns.map((c) => c.header)]
  return `${Papa.unparse([header, ...rows], { newline: '\r\n' })}\r\n`
}

export const rowCells = (columns: readonly ListColumn[], record: ListRecord, nameOf: NameOf): string[] =>
  columns.map((c) => cellText(c, partOf(record.values[c.field], c, isSigned(columns, c.field)), nameOf))

/** A field that has columns for who and when. */
export const isSigned = (columns: readonly ListColumn[], field: string): boolean =>
  columns.some((c) => c.field === field && c.part === 'by')

function aboutText(recordId: string, nameOf: NameOf): string {
  return recordId
    .split('.')
    .map((id) => {
      for (const collection of [
        'cars',
        'entries',
        'followUpRules',
        'checklistItems',
        'controllerParameters',
        'heats',
        'people',
      ]) {
        const name = nameOf(collection, id)
        if (name !== '') return name
      }
      return id
    })
    .join(' · ')
}
