import type { Json } from '../core/json'
import { COLLECTIONS, type DocKind } from './collections'
import type { FieldDef } from './field'
import { splitId } from './flat-key'

/**
 * Whose a collection's records are, as the collection declares it. `person: 'id'`: the record is the person. `car: 'id'`: the record is the
 * car; `head`: the record's id begins with the car's; `field`: that field names the car; `run`: the record has an entry's id, and the entry
 * names the car; `run-or-head`: the record's id begins with an entry's id, or with a car's.
 */
export type Owner = { person: 'id' } | { car: 'id' | 'head' | 'run' | 'run-or-head' | { field: string } }

/** What a collection says about itself. `under`: fields that give a signed field of the record its meaning. */
export interface CollectionDef {
  label: string
  owner?: Owner
  under?: Readonly<Record<string, readonly string[]>>
  fields: Readonly<Record<string, FieldDef>>
}

export function collectionDef(doc: DocKind, collection: string): CollectionDef | undefined {
  const defs: Readonly<Record<string, CollectionDef>> = COLLECTIONS[doc]
  return Object.hasOwn(defs, collection) ? defs[collection] : undefined
}

/** Looks up the board. */
export interface BoardReader {
  field(doc: DocKind, collection: string, recordId: string, field: string): Json | undefined
  /** Ids of every record, removed ones included. */
  ids(doc: DocKind, collection: string): Iterable<string>
}

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
  const owner = collectionDef(doc, collection)?.owner
  if (!owner || !('car' in owner)) return undefined
  const { car } = owner
  switch (car) {
    case 'id':
      return recordId
    case 'head':
      return splitId(recordId)[0]
    case 'run':
      return carOfRun(read, recordId)
    case 'run-or-head': {
      const [head] = splitId(recordId)
      return carOfRun(read, head) ?? head
    }
    default:
      return asId(read.field(doc, collection, recordId, car.field))
  }
}

export const drives = (read: BoardReader, personId: string, carId: string | undefined): boolean =>
  carId !== undefined && read.field('kit', 'cars', carId, 'driverId') === personId

/** The value as a signature, when somebody's name is under it. */
export const signatureOf = (value: Json | undefined): { by: string; [k: string]: Json } | null =>
  typeof value === 'object' && value !== null && !Array.isArray(value) && typeof value['by'] === 'string'
    ? (value as { by: string; [k: string]: Json })
    : null

/** Who signed the value, as long as it says something: an emptied one binds nobody. */
export function signerOf(value: Json | undefined): string | null {
  const sign = signatureOf(value)
  return sign && sign['v'] !== null ? sign.by : null
}
