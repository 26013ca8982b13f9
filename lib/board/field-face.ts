import { fieldDef, type DocKind } from './collections'
import { schemaBounds } from './schema-bounds'

/** What a form needs to know about a field, read from the board's own definitions. */
export interface FieldFace {
  label: string
  unit: string
  kind: 'number' | 'text' | 'choice' | 'flag' | 'other'
  min?: number
  max?: number
  /** 1 for whole numbers. */
  step?: number
  maxLength?: number
  options: readonly string[]
}

/** @throws for a field that the board does not have. */
export function describeField(doc: DocKind, collection: string, field: string): FieldFace {
  const def = fieldDef(doc, collection, field)
  if (!def) throw new Error(`The board has no field ${collection}.${field}`)
  const { min, max, isWhole, maxLength, options } = schemaBounds(def.schema)
  const base = { label: def.label, unit: def.unit ?? '', options: [] }
  switch (def.schema.def.type as string) {
    case 'number':
      return {
        ...base,
        kind: 'number',
        min,
        max,
        step: isWhole ? 1 : undefined,
      }
    case 'string':
      return { ...base, kind: 'text', maxLength }
    case 'enum':
      return { ...base, kind: 'choice', options }
    case 'boolean':
      return { ...base, kind: 'flag' }
    default:
      // Stamped values are written by edits of their own, which know their bounds from here.
      return { ...base, kind: 'other', min, max, step: isWhole ? 1 : undefined, maxLength }
  }
}
