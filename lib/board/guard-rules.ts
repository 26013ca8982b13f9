import type { Json } from '../core/json'
import { ok, refuse, type Result } from '../core/result'
import type { Role } from '../core/role'
import { fieldDef, type DocKind } from './collections'
import { showJson } from './field'
import { splitId } from './flat-key'
import { grantFor } from './policy'

/** Looks up the board as it is before the change. */
export interface BoardReader {
  field(doc: DocKind, collection: string, recordId: string, field: string): Json | undefined
}

/** Who wants to write. */
export interface PolicyContext {
  role: Role
  personId: string
  read: BoardReader
}

/** One field's change. `undefined` means that the field is absent. */
export interface FieldChange {
  doc: DocKind
  collection: string
  recordId: string
  field: string
  before: Json | undefined
  after: Json | undefined
}

/** [S5] Does the value belong into this field? Absence never does: fields are emptied by `removed` or a new value, not deleted. */
export function checkField(doc: DocKind, collection: string, field: string, value: unknown): Result<void> {
  const def = fieldDef(doc, collection, field)
  if (!def)
    return refuse(
      `${collection}.${field}`,
      '',
      'the board has no such field',
      'Reload the page: this phone may run an older version.',
    )
  if (value === undefined)
    return refuse(def.label, '', 'a field can’t be deleted', 'Change its value, or remove the whole record.')
  if (value === null && !def.keepStamp) return ok(undefined)
  const parsed = def.schema.safeParse(value)
  if (parsed.success) return ok(undefined)
  return refuse(
    def.label,
    showJson(value as Json),
    parsed.error.issues[0]?.message ?? 'does not fit',
    fieldRemedy(def),
  )
}

function fieldRemedy(def: { label: string; unit?: string; schema: unknown }): string {
  const range = rangeOf(def.schema)
  return range ? `Enter ${range}${def.unit ? ` ${def.unit}` : ''}.` : 'Enter a value that fits the field.'
}

function rangeOf(schema: unknown): string | null {
  const s = schema as { minValue?: number | null; maxValue?: number | null; options?: unknown }
  if (typeof s.minValue === 'number' && typeof s.maxValue === 'number')
    return `${s.minValue} to ${s.maxValue}`
  if (Array.isArray(s.options) && s.options.every((o) => typeof o === 'string'))
    return `one of ${s.options.join(', ')}`
  return null
}

const isSigned = (value: Json | undefined): value is { by: string; [k: string]: Json } =>
  typeof value === 'object' && value !== null && !Array.isArray(value) && typeof value['by'] === 'string'

const asId = (v: Json | undefined): string | undefined => (typeof v === 'string' ? v : undefined)
const carOfRun = (read: BoardReader, runId: string): string | undefined =>
  asId(read.field('meeting', 'entries', runId, 'carId'))

/** The car that a record belongs to; undefined when it belongs to none. */
export function carOfRecord(
  read: BoardReader,
  doc: DocKind,
  collection: string,
  recordId: string,
): string | undefined {
  if (doc === 'kit') return collection === 'cars' ? recordId : undefined
  switch (collection) {
    case 'cardValues':
    case 'followUps':
      return splitId(recordId)[0]
    case 'checks': {
      const [head] = splitId(recordId)
      return carOfRun(read, head) ?? head
    }
    case 'runs':
    case 'entries':
      return carOfRun(read, recordId)
    case 'proposals':
      return asId(read.field('meeting', 'proposals', recordId, 'carId'))
    default:
      return undefined
  }
}

const WHO: Record<string, string> = {
  any: '',
  'own-car': ' of their own car',
  self: ' themselves',
  'own-sign': '',
  'own-car-sign': ' of their own car',
}

function deny({ doc, collection, field, after }: FieldChange, reason: string): Result<void> {
  const grant = grantFor(doc, collection, field) ?? {}
  const allowed = Object.entries(grant).map(([role, scope]) => `a ${role}${WHO[scope] ?? ''}`)
  const remedy = allowed.length ? `It can be done by ${allowed.join(' or ')}.` : 'Only the server writes it.'
  return refuse(fieldDef(doc, collection, field)?.label ?? field, showJson(after), reason, remedy)
}

/** [S4] May this person make this change? The refusal says who may. */
export function mayWrite(ctx: PolicyContext, change: FieldChange): Result<void> {
  const { doc, collection, recordId, field, before, after } = change
  const def = fieldDef(doc, collection, field)
  const grant = grantFor(doc, collection, field)
  if (!grant)
    return refuse(
      def?.label ?? field,
      showJson(after),
      'the board has no such collection',
      'Reload the page.',
    )
  const scope = ctx.role === 'guest' ? undefined : grant[ctx.role]
  if (!scope) return deny(change, `a ${ctx.role} may not change it`)
  if (scope === 'self' && recordId !== ctx.personId) return deny(change, 'it belongs to somebody else')
  if (scope === 'own-car' || scope === 'own-car-sign') {
    const car = carOfRecord(ctx.read, doc, collection, recordId)
    if (!car || ctx.read.field('kit', 'cars', car, 'driverId') !== ctx.personId)
      return deny(change, 'it is not a car you drive')
  }
  if (
    (scope === 'own-sign' || scope === 'own-car-sign') &&
    isSigned(before) &&
    before.by !== ctx.personId &&
    ctx.role !== 'manager'
  )
    return deny(change, 'somebody else signed it')
  if (def?.signed && isSigned(after) && after.by !== ctx.personId)
    return refuse(def.label, showJson(after), 'it is signed with somebody else’s name', 'Sign with your own.')
  if (collection === 'runs' && field === 'record') return mayFreeze(ctx, change)
  return ok(undefined)
}

/**
 * A run record is written once. Only a manager, or the person who froze it, can take it back (`v: null`) when the start stamp was wrong;
 * then it can be frozen anew.
 */
function mayFreeze(ctx: PolicyContext, { before, after }: FieldChange): Result<void> {
  if (before === undefined || ctx.role === 'manager') return ok(undefined)
  if (
    isSigned(before) &&
    (before['v'] === null || (before.by === ctx.personId && isSigned(after) && after['v'] === null))
  )
    return ok(undefined)
  return refuse(
    'Run record',
    '',
    'it was frozen at the start',
    'A manager can take the start stamp back, and with it the record.',
  )
}
