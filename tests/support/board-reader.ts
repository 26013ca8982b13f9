import type { BoardReader } from '@/lib/board/ownership'
import type { Json } from '@/lib/core/json'

/** A board by hand: `kit/cars/rook/driverId` and what is there. */
export function boardReader(fields: Readonly<Record<string, Json>>): BoardReader {
  return {
    field: (doc, collection, id, field) => fields[`${doc}/${collection}/${id}/${field}`],
    ids: (doc, collection) =>
      new Set(
        Object.keys(fields)
          .filter((k) => k.startsWith(`${doc}/${collection}/`))
          .map((k) => k.split('/')[2]!),
      ),
  }
}
