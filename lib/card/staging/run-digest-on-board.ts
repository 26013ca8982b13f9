import {
  collectionDef,
  joinId,
  parametersOf,
  type BoardReader,
  type CollectionOf,
  type DocKind,
  type RecordOf,
  type Rows,
} from '../../board'
import { runDigest } from './run-digest'

/**
 * A run's digest, read field by field where there is no view of the board, as on the server in the middle of an update.
 *
 * @returns undefined when the run is not one of the team's
 */
export function runDigestOnBoard(read: BoardReader, runId: string): string | undefined {
  const carId = read.field('meeting', 'entries', runId, 'carId')
  if (typeof carId !== 'string') return undefined
  const controllerId = read.field('kit', 'cars', carId, 'controllerId')
  const own = [...read.ids('kit', 'controllerParameters')].filter(
    (id) =>
      controllerId !== undefined &&
      read.field('kit', 'controllerParameters', id, 'controllerId') === controllerId,
  )
  const kit = {
    cars: rowsOf(read, 'kit', 'cars', [carId]),
    controllerParameters: rowsOf(read, 'kit', 'controllerParameters', own),
  }
  const values = parametersOf(kit, carId).map((p) => joinId(carId, p.id))
  const run = recordOf(read, 'meeting', 'runs', runId)
  return runDigest(
    { ...kit, cardValues: rowsOf(read, 'meeting', 'cardValues', values) },
    { runId, carId, run },
  )
}

function recordOf<D extends DocKind, C extends CollectionOf<D>>(
  read: BoardReader,
  doc: D,
  collection: C,
  id: string,
): RecordOf<D, C> {
  const record: Record<string, unknown> = { id }
  for (const [name, def] of Object.entries(collectionDef(doc, collection)?.fields ?? {})) {
    const value = read.field(doc, collection, id, name)
    const parsed = value === undefined || value === null ? null : def.schema.safeParse(value)
    if (parsed?.success) record[name] = parsed.data
  }
  return record as RecordOf<D, C>
}

/** Some records of a collection as a view has them: in order, removed ones apart. */
function rowsOf<D extends DocKind, C extends CollectionOf<D>>(
  read: BoardReader,
  doc: D,
  collection: C,
  ids: readonly string[],
): Rows<RecordOf<D, C>> {
  const all = new Map(ids.map((id) => [id, recordOf(read, doc, collection, id)]))
  const live = [...all.values()]
    .filter((r) => !('removed' in r && r.removed === true))
    .sort((a, b) => orderOf(a) - orderOf(b) || (a.id < b.id ? -1 : 1))
  return { all, live, get: (id) => (id ? all.get(id) : undefined) }
}

const orderOf = (r: object): number => ('order' in r && typeof r.order === 'number' ? r.order : 0)
