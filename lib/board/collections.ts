import type * as z from 'zod/mini'
import type { FieldDef } from './field'
import { kitCollections } from './kit-collections'
import { meetingCollections } from './meeting-collections'

export const COLLECTIONS = { kit: kitCollections, meeting: meetingCollections } as const

export type DocKind = keyof typeof COLLECTIONS
export type KitCollection = keyof typeof kitCollections
export type MeetingCollection = keyof typeof meetingCollections

type Defs<D extends DocKind> = (typeof COLLECTIONS)[D]
export type CollectionOf<D extends DocKind> = keyof Defs<D> & string
export type FieldOf<D extends DocKind, C extends CollectionOf<D>> = Defs<D>[C] extends { fields: infer F }
  ? keyof F & string
  : never
type ValueOf<F> = F extends { schema: z.ZodMiniType<infer T> } ? T : never
type FieldsOf<D extends DocKind, C extends CollectionOf<D>> = Defs<D>[C] extends { fields: infer F }
  ? F
  : never

/** A validated plain record: its id and the fields that are present and parse. */
export type RecordOf<D extends DocKind, C extends CollectionOf<D>> = { readonly id: string } & {
  readonly [F in keyof FieldsOf<D, C>]?: ValueOf<FieldsOf<D, C>[F]>
}

export type FieldsIn<D extends DocKind, C extends CollectionOf<D>> = {
  -readonly [F in keyof FieldsOf<D, C>]?: ValueOf<FieldsOf<D, C>[F]> | null | undefined
}

/** Look a field up by names that came from outside; undefined when there is no such collection or field. */
export function fieldDef(doc: DocKind, collection: string, field: string) {
  const defs = COLLECTIONS[doc] as Record<string, { label: string; fields: Record<string, FieldDef> }>
  const def = Object.hasOwn(defs, collection) ? defs[collection] : undefined
  return def && Object.hasOwn(def.fields, field) ? def.fields[field] : undefined
}

export const collectionNames = (doc: DocKind): string[] => Object.keys(COLLECTIONS[doc])
export type KitRecord<C extends KitCollection> = RecordOf<'kit', C>
export type MeetingRecord<C extends MeetingCollection> = RecordOf<'meeting', C>
export type Car = KitRecord<'cars'>
export type ControllerParameter = KitRecord<'controllerParameters'>
export type Pack = KitRecord<'packs'>
export type TireSet = KitRecord<'tireSets'>
export type Heat = MeetingRecord<'heats'>
export type Entry = MeetingRecord<'entries'>
export type Run = MeetingRecord<'runs'>
export type CardValue = MeetingRecord<'cardValues'>
