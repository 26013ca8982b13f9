/** Of so many told lately it is known; the room's memory must not grow with what people are refused. */
const MOST = 1_000

/**
 * [S24] The clientIDs whose page was told to start anew, each with its person. The new page writes what was still unsent once more under an ID of its own, so what a line that was
 * slower brings under the former one would count twice, and older values would come back over newer ones. Kept as long as the room is in
 * memory, which it is while any of its lines is open.
 */
export class EndedClients {
  readonly #ended = new Set<string>()

  add(personId: string, clientIds: readonly number[]): void {
    for (const id of clientIds) this.#ended.add(`${id} ${personId}`)
    for (const oldest of this.#ended) {
      if (this.#ended.size <= MOST) break
      this.#ended.delete(oldest)
    }
  }

  /** Of somebody else's: his page was told nothing, whatever another person sent under its ID. */
  hasAny(personId: string, clientIds: readonly number[]): boolean {
    return clientIds.some((id) => this.#ended.has(`${id} ${personId}`))
  }
}
