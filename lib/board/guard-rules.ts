import { withUnit } from '../core/figure-text'
import { never } from '../core/assert'
import { canonicalJson, type Json } from '../core/json'
import { ok, refuse, type Result } from '../core/result'
import { fieldDef, type DocKind } from './collections'
import { showJson } from './field'
import { carOfRecord, collectionDef, drives, signatureOf, signerOf } from './ownership'
import { misfitWords } from './misfit-words'
import { grantFor, rulesFor, type Scope } from './policy'
import { schemaBounds } from './schema-bounds'
import { SIGNED_RULES, WRITE_RULES, type FieldChange, type PolicyContext } from './write-rules'

/** [S5] Does the value belong into this field? Absence never does: fields are emptied by `removed` or a new value, not deleted. */
export function checkField(doc: DocKind, collection: string, field: string, value: unknown): Result<void> {
  const def = fieldDef(doc, collection, field)
  if (!def)
    return refuse(
      `${collection}.${field}`,
      '',
      'the board has no such field',
      'Reload the page: this phone may be running an older version.',
    )
  if (value === undefined)
    return refuse(def.label, '', 'a field can’t be deleted', 'Change its value, or remove the whole record.')
  if (value === null && !def.keepStamp) return ok(undefined)
  const parsed = def.schema.safeParse(value)
  if (parsed.success) return ok(undefined)
  return refuse(def.label, showJson(value as Json), misfitWords(parsed.error.issues[0]), fieldRemedy(def))
}

function fieldRemedy(def: { label: string; unit?: string; schema: unknown }): string {
  const range = rangeOf(def.schema)
  return range ? `Enter ${withUnit(range, def.unit)}.` : 'Enter a value that fits the field.'
}

function rangeOf(schema: unknown): string | null {
  const { min, max, options } = schemaBounds(schema)
  if (min !== undefined && max !== undefined) return `${min} to ${max}`
  if (options.length > 0) return `one of ${options.join(', ')}`
  return null
}

const WHO: Record<Scope, string> = {
  any: '',
  'own-car': ' for their own car',
  self: ' for themselves',
  'own-sign': '',
  'own-car-sign': ' for their own car',
  once: '',
}

function deny({ doc, collection, field, after }: FieldChange, reason: string, remedy?: string): Result<void> {
  const grant = grantFor(doc, collection, field) ?? {}
  const allowed = Object.entries(grant).map(([role, scope]) => `a ${role}${WHO[scope]}`)
  const who = allowed.length ? `Only ${allowed.join(' or ')} can do this.` : 'Only the server can change it.'
  return refuse(fieldDef(doc, collection, field)?.label ?? field, showJson(after), reason, remedy ?? who)
}

/** [S4] May this person make this change? The refusal says who may. */
export function mayWrite(ctx: PolicyContext, change: FieldChange): Result<void> {
  const { doc, collection, field, after } = change
  const grant = grantFor(doc, collection, field)
  if (!grant) return refuse(field, showJson(after), 'the board has no such collection', 'Reload the page.')
  const scope = ctx.role === 'guest' ? undefined : grant[ctx.role]
  if (!scope) return deny(change, `a ${ctx.role} may not change it`)
  const held = holdsScope(ctx, change, scope)
  if (!held.ok) return held
  if (fieldDef(doc, collection, field)?.signed)
    for (const rule of SIGNED_RULES) {
      const follows = WRITE_RULES[rule].check(ctx, change)
      if (!follows.ok) return follows
    }
  for (const rule of rulesFor(doc, collection, field)) {
    const follows = WRITE_RULES[rule].check(ctx, change)
    if (!follows.ok) return follows
  }
  return ok(undefined)
}

function holdsScope(ctx: PolicyContext, change: FieldChange, scope: Scope): Result<void> {
  switch (scope) {
    case 'any':
      return ok(undefined)
    case 'self':
      return change.recordId === ctx.personId ? ok(undefined) : deny(change, 'it belongs to somebody else')
    case 'own-car':
      return ofOwnCar(ctx, change)
    case 'own-sign':
      return ofOwnSign(ctx, change)
    case 'own-car-sign': {
      const own = ofOwnCar(ctx, change)
      return own.ok ? ofOwnSign(ctx, change) : own
    }
    case 'once':
      return writtenOnce(ctx, change)
    default:
      return never(scope)
  }
}

/** The car that the record belongs to now, and the one it belonged to before the change, if any. */
function ofOwnCar({ read, before, personId }: PolicyContext, change: FieldChange): Result<void> {
  const { doc, collection, recordId } = change
  const was = before && carOfRecord(before, doc, collection, recordId)
  return drives(read, personId, carOfRecord(read, doc, collection, recordId)) &&
    (was === undefined || drives(read, personId, was))
    ? ok(undefined)
    : deny(change, 'it is not a car you drive')
}

/** What somebody else signed stands, with everything that it says. */
function ofOwnSign({ read, personId }: PolicyContext, change: FieldChange): Result<void> {
  const { doc, collection, recordId, field, before, after } = change
  const signer = signatureOf(before)?.by ?? personId
  if (signer !== personId)
    return deny(change, 'somebody else signed it', 'The signer or a manager can change it.')
  const under = collectionDef(doc, collection)?.under
  const signed = under && Object.hasOwn(under, field) ? under[field] : undefined
  if (!signed || canonicalJson(before) === canonicalJson(after)) return ok(undefined)
  for (const name of signed) {
    const by = signerOf(read.field(doc, collection, recordId, name))
    if (by !== null && by !== personId)
      return deny(
        change,
        `somebody else signed ${fieldDef(doc, collection, name)?.label ?? name}, which it belongs to`,
        'The signer or a manager can change it.',
      )
  }
  return ok(undefined)
}

/** Nobody writes over it. Who wrote it may empty it (`v: null`), and what is empty can be written anew. */
function writtenOnce({ personId }: PolicyContext, change: FieldChange): Result<void> {
  const before = signatureOf(change.before)
  if (!before || before['v'] === null) return ok(undefined)
  if (before.by === personId && signatureOf(change.after)?.['v'] === null) return ok(undefined)
  return deny(
    change,
    'it can be written only once',
    'The person who wrote it or a manager can remove it; a run record goes with the start stamp.',
  )
}
