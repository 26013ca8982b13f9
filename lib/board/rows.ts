/** Read access to one collection in one moment. */
export interface Rows<R> {
  /** Not removed, by their `order` and then by id. */
  readonly live: readonly R[]
  /** Removed ones included. */
  readonly all: ReadonlyMap<string, R>
  get(id: string | null | undefined): R | undefined
}

/** Put in order when somebody asks: of most collections nobody does between two edits, and the order is most of what a look would cost. */
export function rowsOf<R extends { id: string }>(all: ReadonlyMap<string, R>): Rows<R> {
  let live: readonly R[] | null = null
  return {
    get live() {
      live ??= [...all.values()].filter((r) => !('removed' in r && r.removed === true)).sort(byOrderThenId)
      return live
    },
    all,
    get: (id) => (id ? all.get(id) : undefined),
  }
}

const order = (r: object): number => ('order' in r && typeof r.order === 'number' ? r.order : 0)

function byOrderThenId(a: { id: string }, b: { id: string }): number {
  return order(a) - order(b) || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0)
}
