import { withUnit } from '@/lib/core/figure-text'
import type * as Y from 'yjs'
import {
  CAR_PARAMETERS,
  COLLECTIONS,
  fieldDef,
  instantSchema,
  readField,
  splitId,
  type DocKind,
} from '@/lib/board'
import type { Json } from '@/lib/core/json'
import { choiceText, type FieldOf } from '@/app/words/choice-text'
import type { FieldPath } from './move-plan'

/** A room's document and the kit's, which names what a meeting refers to; the same for the kit. */
export interface WordsFrom {
  room: string
  doc: Y.Doc | null
  kit: Y.Doc | null
}

const clock = new Intl.DateTimeFormat('en-GB', { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' })
const NAMES = ['name', 'label', 'title', 'text', 'driverName', 'number'] as const
const ESC = 'esc.'

/** One value of the board as a person would say it: `Card value Rook 4WD, Pinion, Assigned: 23 t`. */
export function fieldWords(from: WordsFrom, path: FieldPath, value: Json | undefined): string {
  const kind: DocKind = from.room === 'kit' ? 'kit' : 'meeting'
  const collections = COLLECTIONS[kind] as Record<string, { label: string }>
  const of = collections[path.collection]?.label ?? 'Something this page does not know'
  const label = fieldDef(kind, path.collection, path.field)?.label ?? 'a value'
  return `${of} ${recordWords(from, path)}, ${label}: ${valueWords(from, path, value) || 'emptied'}`
}

/** A field's value alone, with its unit; times as hh:mm. Empty for nothing. */
export function valueWords(from: WordsFrom, path: FieldPath, value: Json | undefined): string {
  const def = fieldDef(from.room === 'kit' ? 'kit' : 'meeting', path.collection, path.field)
  const card = path.collection === 'cardValues' ? parameterWords(from, splitId(path.recordId)[1]) : null
  const inner = plain(value)
  if (def?.schema === instantSchema && typeof inner === 'number') return timeOf(inner)
  const kind: DocKind = from.room === 'kit' ? 'kit' : 'meeting'
  const said =
    typeof inner === 'string' && path.collection !== 'cardValues'
      ? choiceWords(from, { doc: kind, collection: path.collection, field: path.field }, inner)
      : jsonWords(from, value)
  const unit = card?.unit || def?.unit
  return said === '' ? said : withUnit(said, unit)
}

function recordWords(from: WordsFrom, { collection, recordId }: FieldPath): string {
  const kind: DocKind = from.room === 'kit' ? 'kit' : 'meeting'
  const own = nameIn(from.doc, kind, collection, recordId)
  if (own !== null) return own
  const [head, tail] = recordId.includes('.') ? splitId(recordId) : [recordId, '']
  if (!tail) return named(from, head)
  return `${named(from, head)}, ${collection === 'cardValues' ? parameterWords(from, tail).label : named(from, tail)}`
}

/** What a card's value is called and counted in. */
function parameterWords({ kit }: WordsFrom, id: string): { label: string; unit: string } {
  const common = CAR_PARAMETERS.find((p) => p.id === id)
  if (common || !id.startsWith(ESC)) return common ?? { label: id, unit: '' }
  const of = (field: string) =>
    kit ? readField(kit, 'controllerParameters', id.slice(ESC.length), field) : undefined
  const [label, unit] = [of('label'), of('unit')]
  return {
    label: typeof label === 'string' ? label : 'Speed control value',
    unit: typeof unit === 'string' ? unit : '',
  }
}

/** A choice by its word, else an id by its name. */
function choiceWords(from: WordsFrom, field: FieldOf, text: string): string {
  const word = choiceText(field, text)
  return word === text ? named(from, text) : word
}

const plain = (value: Json | undefined): Json | undefined =>
  value !== null && typeof value === 'object' && !Array.isArray(value) && 'v' in value ? value['v'] : value

const timeOf = (at: Json | undefined): string => clock.format(Number(at))

function jsonWords(from: WordsFrom, value: Json | undefined): string {
  const v = plain(value)
  if (v === undefined || v === null) return ''
  if (typeof v === 'boolean') return v ? 'yes' : 'no'
  if (typeof v === 'number') return String(v)
  if (typeof v === 'string') return named(from, v)
  if (Array.isArray(v)) return v.map((one) => jsonWords(from, one)).join(', ')
  const { by, at } = v
  if (typeof by === 'string' && typeof at === 'number') return `${named(from, by)}, ${timeOf(at)}`
  return Object.values(v)
    .map((one) => jsonWords(from, one))
    .filter((words) => words !== '')
    .join(', ')
}

/** An id by the name of what it stands for; any other text as it is. */
function named({ room, doc, kit }: WordsFrom, id: string): string {
  for (const [d, kind] of [[kit, 'kit'] as const, ...(room === 'kit' ? [] : [[doc, 'meeting'] as const])])
    for (const collection of Object.keys(COLLECTIONS[kind])) {
      const name = nameIn(d, kind, collection, id)
      if (name !== null) return name
    }
  return id
}

function nameIn(doc: Y.Doc | null, kind: DocKind, collection: string, recordId: string): string | null {
  if (!doc) return null
  for (const field of NAMES) {
    if (!fieldDef(kind, collection, field)) continue
    const name = plain(readField(doc, collection, recordId, field))
    if ((typeof name === 'string' && name !== '') || typeof name === 'number') return String(name)
  }
  return null
}
