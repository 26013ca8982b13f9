import {
  COLLECTIONS,
  instantSchema,
  isShare,
  refTarget,
  schemaBounds,
  settingSchema,
  type CollectionDef,
  type DocKind,
  type FieldDef,
} from '../board'

/** What a cell holds, which says how it is written and read. */
export type CellKind = 'text' | 'number' | 'flag' | 'choice' | 'instant' | 'ref' | 'setting' | 'json'

/** One column of a list: a field, or a part of one that has several. */
export interface ListColumn {
  header: string
  field: string
  /** Which part: the value itself, a part of the value by name, or what the board notes with it. */
  part: 'value' | { of: string } | 'by' | 'at' | 'why' | 'covers'
  kind: CellKind
  unit: string
  schema: Schema
  /** The collection that a reference names a record of. */
  target: string | null
}

/** Any schema of the board. */
export type Schema = FieldDef['schema']

interface Introspected {
  def: { type: string; innerType?: Schema; shape?: Record<string, Schema> }
}
const look = (schema: Schema) => schema as unknown as Introspected
/** A schema without what only says that the value may be missing. */
const bare = (schema: Schema): Schema => {
  const { type, innerType } = look(schema).def
  return innerType && (type === 'optional' || type === 'nullable') ? bare(innerType) : schema
}

const isSame = (a: unknown, b: unknown): boolean => a === b

/** The choices of a column that has some. */
export const optionsOf = ({ schema }: Pick<ListColumn, 'schema'>): readonly string[] =>
  schemaBounds(schema).options

function kindOf(schema: Schema, target: string | null): CellKind {
  if (isSame(schema, instantSchema)) return 'instant'
  if (isSame(schema, settingSchema)) return 'setting'
  switch (look(schema).def.type) {
    case 'string':
      return target === null ? 'text' : 'ref'
    case 'number':
      return 'number'
    case 'boolean':
      return 'flag'
    case 'enum':
      return 'choice'
    default:
      return 'json'
  }
}

const withUnit = (label: string, unit: string) => (unit === '' ? label : `${label} (${unit})`)

/** The columns of a collection, in the order of its fields; a record's id goes before them. */
export function listColumns(doc: DocKind, collection: string): ListColumn[] {
  const defs: Readonly<Record<string, CollectionDef>> = COLLECTIONS[doc]
  return Object.entries(defs[collection]?.fields ?? {}).flatMap(([field, def]) =>
    fieldColumns(collection, field, def),
  )
}

function fieldColumns(collection: string, field: string, def: FieldDef): ListColumn[] {
  const unit = isShare(collection, field) ? 'share of 1' : (def.unit ?? '')
  const column = (
    part: ListColumn['part'],
    header: string,
    schema: Schema,
    more: Partial<ListColumn> = {},
  ) => {
    const target = part === 'value' ? refTarget(field) : null
    const kind = kindOf(bare(schema), target)
    return {
      header,
      field,
      part,
      kind,
      unit: '',
      schema: bare(schema),
      target: kind === 'ref' ? target : null,
      ...more,
    }
  }
  const shape = def.signed ? (look(def.schema).def.shape ?? {}) : null
  if (!shape) return [column('value', withUnit(def.label, unit), def.schema, { unit })]
  const columns: ListColumn[] = []
  if (shape['v']) {
    const value = bare(shape['v'])
    const inner = look(value).def.type === 'object' ? (look(value).def.shape ?? {}) : null
    if (inner)
      for (const [name, part] of Object.entries(inner))
        columns.push(column({ of: name }, `${def.label}: ${wordsOf(name)}`, part))
    else columns.push(column('value', withUnit(def.label, unit), value, { unit }))
  }
  for (const name of ['by', 'at', 'why', 'covers'] as const) {
    const part = shape[name]
    if (!part) continue
    const more = name === 'by' ? { kind: 'ref' as const, target: 'people' } : {}
    columns.push(column(name, `${def.label}: ${name}`, part, more))
  }
  return columns
}

/** `bestLapS` as people write it. */
const wordsOf = (name: string): string => {
  const seconds = /[a-z]S$/.test(name)
  const words = (seconds ? name.slice(0, -1) : name).replace(/[A-Z]/g, (c) => ` ${c.toLowerCase()}`)
  return seconds || name === 'seconds' ? withUnit(words, 's') : words
}

/** Parts that only the board writes: they come along when a value is signed. */
export const isNoted = ({ part }: ListColumn): boolean => part === 'by' || part === 'at' || part === 'covers'
