import type { BoardView, Rows } from '../board'

/** One thing that a computation read, and what it got. */
interface Reading {
  again: (view: BoardView, about: Readonly<Record<string, unknown>>) => unknown
  got: unknown
}

interface Known<T> {
  readings: readonly Reading[]
  /** The members of the view that were looked into, as they were when the readings last held. */
  members: (readonly [name: keyof BoardView, got: unknown])[]
  about: unknown
  value: T
}

/**
 * Remembers what was made of the board by what it read: a later view in which all of that kept its identity gives the same object back, so that an
 * edit costs only the cards that it touches. Views keep the identity of untouched records and collections (see `BoardReading`).
 *
 * `make` must read the board through the view it is handed, and nothing else that changes except the fields of `about`.
 */
export class ViewMemo<T> {
  readonly #known = new Map<string, Known<T>>()

  /** `about`: flat facts from outside the board, a run's for example; only those that are read count. */
  get<A extends object | undefined>(
    key: string,
    view: BoardView,
    about: A,
    make: (view: BoardView, about: A) => T,
  ): T {
    const known = this.#known.get(key)
    // Nothing that was looked into has changed at all: the usual case, and the cheap one.
    if (known?.about === about && known?.members.every(([name, got]) => view[name] === got))
      return known.value
    const facts = { ...about, isThere: about !== undefined }
    if (known?.readings.every((r) => r.again(view, facts) === r.got)) {
      known.about = about
      known.members = known.members.map(([name]) => [name, view[name]])
      return known.value
    }
    const readings: Reading[] = [{ again: (_, a) => a['isThere'], got: facts.isThere }]
    const members: Known<T>['members'] = []
    const value = make(watchView(view, readings, members), watchFacts(about, readings))
    this.#known.set(key, { readings, members, about, value })
    return value
  }
}

function watchView(
  view: BoardView,
  readings: Reading[],
  members: (readonly [keyof BoardView, unknown])[],
): BoardView {
  const watched = new Map<PropertyKey, unknown>()
  return new Proxy(view, {
    get(target, name) {
      const before = watched.get(name)
      if (before !== undefined) return before
      const member: unknown = Reflect.get(target, name)
      const made = isRows(member) ? watchRows(member, name as keyof BoardView, readings) : member
      members.push([name as keyof BoardView, member])
      if (made === member) readings.push({ again: (v) => Reflect.get(v, name), got: member })
      watched.set(name, made)
      return made
    },
  })
}

const isRows = (x: unknown): x is Rows<unknown> => typeof x === 'object' && x !== null && 'live' in x

function watchRows(rows: Rows<unknown>, name: keyof BoardView, readings: Reading[]): Rows<unknown> {
  const of = (view: BoardView) => view[name] as Rows<unknown>
  const ids = new Set<string | null | undefined>()
  let whole = false
  // The whole collection: its map changes whenever a record does.
  const watchAll = () => {
    if (!whole) readings.push({ again: (v) => of(v).all, got: rows.all })
    whole = true
  }
  return {
    get live() {
      watchAll()
      return rows.live
    },
    get all() {
      watchAll()
      return rows.all
    },
    get: (id) => {
      const got = rows.get(id)
      if (!whole && !ids.has(id)) readings.push({ again: (v) => of(v).get(id), got })
      ids.add(id)
      return got
    },
  }
}

function watchFacts<A extends object | undefined>(about: A, readings: Reading[]): A {
  if (about === undefined) return about
  const read = new Set<PropertyKey>()
  return new Proxy(about, {
    get(target, name) {
      const got: unknown = Reflect.get(target, name)
      if (typeof name === 'string' && !read.has(name))
        readings.push({ again: (_, facts) => facts[name], got })
      read.add(name)
      return got
    },
  })
}
