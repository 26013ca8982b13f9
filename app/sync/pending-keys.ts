import type { Json } from '@/lib/core/json'

/** Where a value stands: only in this phone's memory, or on the server's disk. */
export type Mark = 'phone' | 'saved'

/** One touch of one field. The token names the tab and the touch, so that an older acknowledgement can't clear a newer edit. */
export interface Touch {
  key: string
  token: string
  /** What stood there before the first edit that is not acknowledged; missing where that is not known. */
  base?: { was: Json | undefined } | undefined
}

/** `collection|recordId:field`, the name of one field within its document. */
export const fieldKey = (collection: string, recordId: string, field: string): string =>
  `${collection}|${recordId}:${field}`

/** The fields of one document that no acknowledgement has covered yet [S8]. */
export class PendingKeys {
  readonly #touches = new Map<string, { token: string; order: number; base: Touch['base'] }>()
  #order = 0

  get size(): number {
    return this.#touches.size
  }
  has(key: string): boolean {
    return this.#touches.has(key)
  }
  keys(): string[] {
    return [...this.#touches.keys()]
  }
  baseOf(key: string): Touch['base'] {
    return this.#touches.get(key)?.base
  }
  tokenOf(key: string): string | undefined {
    return this.#touches.get(key)?.token
  }

  /** A field was edited; an earlier touch of it is replaced, and so needs an acknowledgement of its own. */
  touch({ key, token, base }: Touch): void {
    const earlier = this.#touches.get(key)
    this.#touches.set(key, { token, order: ++this.#order, base: earlier ? earlier.base : base })
  }

  /** All, as they are written down. */
  all(): Touch[] {
    return [...this.#touches].map(([key, { token, base }]) => ({ key, token, base }))
  }

  /** What is pending up to now. A barrier sent at this moment covers exactly that. */
  get horizon(): number {
    return this.#order
  }

  /** Everything up to the horizon is on the server's disk. @returns what is pending no more. */
  settle(horizon: number): Touch[] {
    const settled: Touch[] = []
    for (const [key, { token, order }] of this.#touches) {
      if (order > horizon) continue
      settled.push({ key, token })
      this.#touches.delete(key)
    }
    return settled
  }

  /** These were refused: nobody will acknowledge them. @returns what is pending no more. */
  drop(keys: Iterable<string>): Touch[] {
    const dropped: Touch[] = []
    for (const key of keys) {
      const touch = this.#touches.get(key)
      if (!touch) continue
      dropped.push({ key, token: touch.token })
      this.#touches.delete(key)
    }
    return dropped
  }

  /**
   * Bring in what another tab of this device wrote down. Its touches become pending here too; touches of other tabs that are no longer
   * written down were acknowledged there. `mine` tells this tab's own tokens, about which only this tab decides.
   */
  adopt(stored: readonly Touch[], mine: (token: string) => boolean): void {
    const now = new Map(stored.map((t) => [t.key, t.token]))
    for (const [key, { token }] of this.#touches)
      if (!mine(token) && now.get(key) !== token) this.#touches.delete(key)
    for (const t of stored) {
      const known = this.#touches.get(t.key)
      if (!mine(t.token) && known?.token !== t.token && !(known && mine(known.token))) this.touch(t)
    }
  }
}
