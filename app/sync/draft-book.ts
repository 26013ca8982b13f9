import { newId } from '@/lib/core/id'
import type { Rejection } from '@/lib/sync/states'
import type { ClientStore, Draft } from './client-store'

const isSame = (a: Rejection, b: Rejection): boolean =>
  a.path !== null &&
  JSON.stringify([a.path, a.at, a.attempted]) === JSON.stringify([b.path, b.at, b.attempted])

type Shelf = Pick<ClientStore, 'drafts' | 'addDraft' | 'removeDraft'>

/** What the board did not take, the latest first, in memory and in the device's store. */
export class DraftBook {
  #drafts: readonly Draft[] = []
  readonly #dismissed = new Set<string>()
  readonly #store: Shelf
  readonly #changed: () => void

  constructor(store: Shelf, changed: () => void) {
    this.#store = store
    this.#changed = changed
  }

  /** The same array until something changed. */
  get all(): readonly Draft[] {
    return this.#drafts
  }

  async load(): Promise<void> {
    this.#drafts = await this.#store.drafts()
  }

  /** They are in the store already. What was dismissed meanwhile stays so. */
  take(drafts: readonly Draft[]): void {
    const kept = drafts.filter((d) => !this.#dismissed.has(d.id))
    this.#drafts = [...new Map([...kept, ...this.#drafts].map((d) => [d.id, d])).values()]
    this.#changed()
  }

  /** @param words what was attempted, for people */
  add(room: string, rejection: Rejection, words: () => string | undefined): void {
    // Told again because the line broke before the server knew that it had arrived.
    if (this.#drafts.some((d) => d.room === room && isSame(d.rejection, rejection))) return
    const said = words()
    const draft: Draft = { id: newId<'draft'>(), room, rejection, ...(said !== undefined && { words: said }) }
    this.#drafts = [draft, ...this.#drafts]
    this.#store.addDraft(draft)
    this.#changed()
  }

  dismiss(id: string): void {
    this.#dismissed.add(id)
    this.#drafts = this.#drafts.filter((d) => d.id !== id)
    this.#store.removeDraft(id)
    this.#changed()
  }
}
