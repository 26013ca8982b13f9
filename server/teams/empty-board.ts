import type { BoardInputs, ServedBoard } from '../serve-board'
import type { OpenedStore } from '../storage/open-store'
import { openTeamStore, type OpenParts, type TeamStore } from './open-team'
import type { Kept } from './team-house'
import { NOBODY } from './team-settings'

/** There are no sessions in it to look for. */
const POLL_MS = 60_000

/**
 * The board that answers at every address of no team: nobody has joined it, and nobody can. It is a database like a team's, opened in the same
 * way, so that looking for a session or a code there takes as long.
 */
export class EmptyBoard {
  #store: TeamStore | null
  #starting: Promise<TeamStore> | null = null
  /** How long opening it took, ms. */
  spanMs = 0

  /** `onOver`: its connection can't be used any more, and neither can the boards that are over it. `given`: it is open. */
  constructor(
    readonly parts: OpenParts,
    readonly onOver: () => void,
    given: TeamStore | null,
  ) {
    this.#store = given
  }

  /** Open it, where it is not. @throws DatabaseError */
  start(): Promise<TeamStore> {
    if (this.#store) return Promise.resolve(this.#store)
    this.#starting ??= this.#start().finally(() => (this.#starting = null))
    return this.#starting
  }

  /** A board over it, with budgets of its own: an address of no team shares no more with another than teams do. */
  async open(serve: (opened: OpenedStore, own: Partial<BoardInputs>) => Promise<ServedBoard>): Promise<Kept> {
    const store = await this.start()
    const shared: OpenedStore = {
      ...store.opened,
      client: { ...store.opened.client, close: () => undefined },
      stopTending: () => undefined,
    }
    const board = await serve(shared, { settings: store.settings, prepare: undefined, pollMs: POLL_MS })
    return { board, hasNotice: () => false, close: () => board.close() }
  }

  async #start(): Promise<TeamStore> {
    const { steady } = this.parts.timers
    const before = steady()
    this.#store = await openTeamStore({
      ...this.parts,
      address: NOBODY,
      known: new Set(),
      onOver: () => {
        this.close()
        this.onOver()
      },
    })
    this.spanMs = steady() - before
    return this.#store
  }

  close(): void {
    const store = this.#store
    this.#store = null
    if (store === null) return
    store.opened.stopTending()
    store.opened.client.close()
    store.lock?.release()
  }
}
