import type { z } from 'zod'
import { fieldDef, type DocKind } from './collections'

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

type Introspected = z.ZodType & {
  minValue?: number | null
  maxValue?: number | null
  isInt?: boolean
  maxLength?: number | null
  options?: readonly string[]
}

/** @throws for a field that the board does not have. */
export function describeField(doc: DocKind, collection: string, field: string): FieldFace {
  const def = fieldDef(doc, collection, field)
  if (!def) throw new Error(`The board has no field ${collection}.${field}`)
  const schema = def.schema as Introspected
  const base = { label: def.label, unit: def.unit ?? '', options: [] }
  switch (schema.def.type) {
    case 'number':
      return {
        ...base,
        kind: 'number',
        min: schema.minValue ?? undefined,
        max: schema.maxValue ?? undefined,
        step: schema.isInt ? 1 : undefined,
      }
    case 'string':
      return { ...base, kind: 'text', maxLength: schema.maxLength ?? undefined }
    case 'enum':
      return { ...base, kind: 'choice', options: schema.options ?? [] }
    case 'boolean':
      return { ...base, kind: 'flag' }
    default:
      return { ...base, kind: 'other' }
  }
}
