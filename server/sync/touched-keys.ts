import * as Y from 'yjs'
import type { RoomDoc } from './room-doc'
import type { VettedUpdate } from './vet-update'

/** A place in the document that an update would change, before it is integrated. */
export interface Touched {
  collection: string
  key: string
  /** What would be written there; null for what its author has replaced already, and for a deletion. */
  item: Y.Item | null
  /** What stands there would be deleted; whether anything takes its place is another entry's matter. */
  deletes: boolean
}
type Place = Pick<Touched, 'collection' | 'key'>

/**
 * [S24] Places that a vetted update would touch, in its order: what it writes (`fresh`), then what stands and would be deleted. A place may
 * come more than once; null is what belongs to no map, or to none that can be told.
 */
export function* touchedKeys(update: VettedUpdate, board: RoomDoc): Generator<Touched | null> {
  const finder = new PlaceFinder(update, board)
  for (const s of update.structs) {
    const place = finder.placeOf(s)
    if (!place || !(s instanceof Y.Item)) yield null
    else yield { ...place, item: s.content instanceof Y.ContentDeleted ? null : s, deletes: false }
  }
  for (const item of standingDeleted(update, board)) {
    const place = finder.placeOf(item)
    yield place && { ...place, item: null, deletes: true }
  }
}

/** Items that stand and that the update would delete. */
function* standingDeleted({ deletes, more }: VettedUpdate, board: RoomDoc): Generator<Y.Item> {
  if (more) return
  for (const [client, ranges] of deletes.clients) {
    const structs = board.doc.store.clients.get(client)
    if (!structs || structs.length === 0) continue
    const known = Y.getState(board.doc.store, client)
    for (const { clock, len } of ranges) {
      const end = Math.min(clock + len, known)
      if (len === 0 || clock >= end) continue
      for (let i = Y.findIndexSS(structs, clock); i < structs.length; i++) {
        const s = structs[i]
        if (!s || s.id.clock >= end) break
        if (s instanceof Y.Item && !s.deleted) yield s
      }
    }
  }
}

/** Where an item belongs: a later one of a key names only its predecessor. */
class PlaceFinder {
  readonly #own = new Map<number, (Y.Item | Y.GC)[]>()
  readonly #known = new Map<Y.Item, Place | null>()

  constructor(
    update: VettedUpdate,
    readonly board: RoomDoc,
  ) {
    for (const s of update.structs) {
      const list = this.#own.get(s.id.client)
      if (list) list.push(s)
      else this.#own.set(s.id.client, [s])
    }
  }

  placeOf(s: Y.Item | Y.GC): Place | null {
    // A chain of overwrites may be as long as the update: a loop, not a recursion.
    const passed: Y.Item[] = []
    let place: Place | null = null
    let at: Y.Item | Y.GC | null = s
    while (at instanceof Y.Item) {
      const known = this.#known.get(at)
      if (known !== undefined) {
        place = known
        break
      }
      passed.push(at)
      const parent: unknown = at.parent
      if (parent !== null) {
        place = this.#named(parent, at.parentSub)
        break
      }
      const before: Y.ID | null = at.origin ?? at.rightOrigin
      at = before && this.#find(before)
    }
    for (const item of passed) this.#known.set(item, place)
    return place
  }

  #named(parent: unknown, key: string | null): Place | null {
    if (key === null) return null
    if (typeof parent === 'string') return { collection: parent, key }
    if (parent instanceof Y.AbstractType && parent._item === null)
      return { collection: this.board.nameOf(parent).name, key }
    return null
  }

  #find(id: Y.ID): Y.Item | Y.GC | null {
    const { store } = this.board.doc
    if (id.clock < Y.getState(store, id.client)) return Y.getItem(store, id)
    const list = this.#own.get(id.client) ?? []
    let [low, high] = [0, list.length - 1]
    while (low <= high) {
      const middle = (low + high) >> 1
      const s = list[middle]
      if (!s) return null
      if (id.clock < s.id.clock) high = middle - 1
      else if (id.clock >= s.id.clock + s.length) low = middle + 1
      else return s
    }
    return null
  }
}
