import { exportDoc, fieldDef, parseKey, runEdit, type DocKind, type EditContext } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import { ok } from '@/lib/core/result'

type Fields = Record<string, Json>

/** Collection after collection of one document, as `recordId` to fields. */
function recordsOf(kind: DocKind, ctx: EditContext, collection: string): Map<string, Fields> {
  const doc = kind === 'kit' ? ctx.docs.kit : ctx.docs.meeting
  const records = new Map<string, Fields>()
  if (!doc) return records
  for (const [key, value] of Object.entries(exportDoc(kind, doc)[collection] ?? {})) {
    const at = parseKey(key)
    if (at) records.set(at.recordId, { ...records.get(at.recordId), [at.field]: value as Json })
  }
  return records
}

const isStamp = (v: Json): v is { v: Json; by: string; at: number } =>
  typeof v === 'object' && v !== null && !Array.isArray(v) && 'v' in v

/**
 * Gives the team every car of the board again, `copies` times: kit record, card and the entries of the running order, under ids with a number behind
 * them. One edit per car, written as the context's person.
 */
export function addCopiesOfCars(ctx: EditContext, copies: number): void {
  const cars = recordsOf('kit', ctx, 'cars')
  const values = recordsOf('meeting', ctx, 'cardValues')
  const entries = recordsOf('meeting', ctx, 'entries')
  for (let n = 2; n <= copies + 1; n++)
    for (const [carId, car] of cars) {
      const done = runEdit(ctx, 'copy-car', (w) => {
        const write = (kind: DocKind, collection: string, id: string, fields: Fields) => {
          for (const [field, value] of Object.entries(fields))
            if (fieldDef(kind, collection, field) && value !== null)
              w.put(kind, collection, id, field, isStamp(value) ? (w.stamp(value.v) as Json) : value)
        }
        write('kit', 'cars', `${carId}-${n}`, { ...car, name: `${String(car['name'])} ${n}` })
        for (const [id, { assigned, fitted, readBack }] of values)
          if (id.startsWith(`${carId}.`))
            write('meeting', 'cardValues', `${carId}-${n}${id.slice(carId.length)}`, {
              ...(assigned !== undefined && { assigned }),
              ...(fitted !== undefined && { fitted }),
              ...(readBack !== undefined && { readBack }),
            })
        for (const [id, entry] of entries)
          if (entry['carId'] === carId)
            write('meeting', 'entries', `${id}-${n}`, { ...entry, carId: `${carId}-${n}` })
        return ok(undefined)
      })
      if (!done.ok) throw new Error(JSON.stringify(done.error))
    }
}
