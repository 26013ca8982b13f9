import type * as Y from 'yjs'

const nameOf = (id: Y.ID | null): string => (id ? `${id.client}.${id.clock}` : 'none')
/** Keys remembered at most; the oldest is forgotten first. */
const MAX_KEYS = 5_000
const MAX_IDS = 50

/**
 * For keys whose value was restored after a forbidden edit: the items that stand for the legitimate value. An edit built on one of them
 * has not seen a newer legitimate value, so it wins whatever the order of the forbidden edit and the restoring one.
 */
export class RestoredKeys {
  readonly #ids = new Map<string, Set<string>>()

  /** `id` stands for the key's legitimate value (null: for its absence). */
  note(collection: string, key: string, id: Y.ID | null): void {
    const name = `${collection}/${key}`
    let ids = this.#ids.get(name)
    if (!ids) this.#ids.set(name, (ids = new Set()))
    if (ids.size < MAX_IDS) ids.add(nameOf(id))
    if (this.#ids.size > MAX_KEYS) {
      const oldest = this.#ids.keys().next()
      if (!oldest.done) this.#ids.delete(oldest.value)
    }
  }

  builtOn(collection: string, key: string, origin: Y.ID | null): boolean {
    return this.#ids.get(`${collection}/${key}`)?.has(nameOf(origin)) ?? false
  }

  /** A new legitimate value was accepted. */
  forget(collection: string, key: string): void {
    if (this.#ids.size > 0) this.#ids.delete(`${collection}/${key}`)
  }
}
