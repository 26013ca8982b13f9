import * as z from 'zod/mini'
import { nameFault, personNameFault } from '../core/clean-name'
import type { Json } from '../core/json'
import { isRecordId } from './flat-key'

/**
 * One field of a collection. Fields are never deleted: an emptied field holds null, and an emptied stamped value holds `v: null`, so that
 * who emptied it stays known. `schema` (null aside) is the only truth about what the field may hold; the label is what a message calls it.
 * `signed` fields carry `by` and `at`, and `by` must be the person who writes (the policy holds that).
 */
export interface FieldDef<T = unknown> {
  schema: z.ZodMiniType<T>
  label: string
  unit?: string
  signed?: boolean
  /** Null is refused: the stamp must say who emptied it. */
  keepStamp?: boolean
}

const define = <T>(
  schema: z.ZodMiniType<T>,
  label: string,
  extra: Partial<FieldDef<T>> = {},
): FieldDef<T> => ({
  schema,
  label,
  ...extra,
})

const isControl = (code: number) => code < 32 && code !== 9 && code !== 10 && code !== 13
/** Text a person typed: no control characters, which would break paper, tables and logs. */
export const plainText = (max: number) =>
  z.string().check(
    z.maxLength(max),
    z.refine((s) => ![...s].some((c) => isControl(c.codePointAt(0) ?? 0)), 'has control characters'),
  )

export const idSchema = z.string().check(z.refine(isRecordId, 'is not an id'))
/** ms since the epoch, 2000 to 2100. */
export const instantSchema = z.int().check(z.minimum(946684800000), z.maximum(4102444800000))

export const text = (label: string, max = 200) => define(plainText(max), label)
/** A check that gives its own reason. */
const without = (fault: (text: string) => string | null) =>
  z.check<string>(({ value, issues }) => {
    const message = fault(value)
    if (message !== null) issues.push({ code: 'custom', message, input: value })
  })

/** A name of one line that must not be blank. */
export const title = (label: string, max = 80) =>
  define(z.string().check(z.maxLength(max), without(nameFault)), label)
/** A person's name, as `plainName` writes it. */
export const personName = (label: string) => define(z.string().check(without(personNameFault)), label)
export const number = (label: string, min: number, max: number, unit = '') =>
  define(z.number().check(z.minimum(min), z.maximum(max)), label, { unit })
export const integer = (label: string, min: number, max: number, unit = '') =>
  define(z.int().check(z.minimum(min), z.maximum(max)), label, { unit })
export const flag = (label: string) => define(z.boolean(), label)
export const ref = (label: string) => define(idSchema, label)
export const instant = (label: string) => define(instantSchema, label)
export const choice = <const T extends readonly [string, ...string[]]>(label: string, options: T) =>
  define(z.enum(options), label)
export const json = <T>(label: string, schema: z.ZodMiniType<T>) => define(schema, label)

/** A value a setup card can hold. */
export const settingSchema = z.union([
  z.number().check(z.minimum(-1e9), z.maximum(1e9)),
  plainText(120),
  z.boolean(),
])
export type Setting = z.infer<typeof settingSchema>

/** Who and when; `covers` is the digest of what a sign-off stands for. */
export const signSchema = z.strictObject({
  by: idSchema,
  at: instantSchema,
  covers: z.optional(z.string().check(z.maxLength(128))),
})
export type Sign = z.infer<typeof signSchema>

const stampShape = <T>(value: z.ZodMiniType<T>) => ({
  v: z.nullable(value),
  by: idSchema,
  at: instantSchema,
  why: z.optional(plainText(400)),
})
export const stampedSchema = <T>(value: z.ZodMiniType<T>) => z.strictObject(stampShape(value))
export interface Stamped<T> {
  /** Null: emptied on purpose by `by`. */
  v: T | null
  by: string
  at: number
  why?: string | undefined
  /** Only of a value that proves another one: the digest of the stamp that it is bound to. */
  covers?: string | undefined
}

interface SignedField<T> extends FieldDef<T> {
  signed: true
}
export const sign = (label: string): SignedField<Sign> => ({ schema: signSchema, label, signed: true })
/** A value with who and when. Emptied by `v: null`, never by null itself. */
export const stamped = <T>(label: string, value: z.ZodMiniType<T>, unit = ''): SignedField<Stamped<T>> => ({
  schema: stampedSchema(value),
  label,
  signed: true,
  keepStamp: true,
  unit,
})

/** A stamped value that proves another one: `covers` is the digest of the stamp that it is bound to. */
export const proof = <T>(label: string, value: z.ZodMiniType<T>) =>
  define<Stamped<T>>(
    z.strictObject({
      ...stampShape(value),
      covers: z.optional(z.string().check(z.maxLength(128))),
    }),
    label,
    { signed: true, keepStamp: true },
  )

/** What a field's text says when it holds a JSON value, for messages and histories. */
export function showJson(value: Json | undefined): string {
  if (value === undefined || value === null) return ''
  if (typeof value === 'object' && !Array.isArray(value)) {
    if (Object.hasOwn(value, 'v')) return showJson(value['v'] ?? null)
    if (typeof value['by'] === 'string' && typeof value['at'] === 'number') return 'signed'
  }
  return typeof value === 'string' ? value : JSON.stringify(value)
}
