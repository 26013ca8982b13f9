/** Read access to one collection in one moment. */
export interface Rows<R> {
  /** Not removed, by their `order` and then by id. */
  readonly live: readonly R[]
  /** Removed ones included. */
  readonly all: ReadonlyMap<string, R>
  get(id: string | null | undefined): R | undefined
}

/** Put in order when somebody asks: of most collections nobody does between two edits, and the order is most of what a look would cost. */
export function rowsOf<R extends Ranked>(all: ReadonlyMap<string, R>): Rows<R> {
  let live: readonly R[] | null = null
  return {
    get live() {
      live ??= [...all.values()].filter((r) => !r.removed).sort(byOrderThenId)
      return live
    },
    all,
    get: (id) => (id ? all.get(id) : undefined),
  }
}

/** Collections without these fields have neither order nor removed records. */
interface Ranked {
  id: string
  order?: number
  removed?: boolean
}

const byOrderThenId = (a: Ranked, b: Ranked): number =>
  (a.order ?? 0) - (b.order ?? 0) || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0)
