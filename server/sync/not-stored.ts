/** A server's own edit that could not be stored; nothing of it remains. */
export class NotStored extends Error {
  override readonly name = 'NotStored'
  /** @param reason for people: what is wrong and what helps. */
  constructor(readonly reason: string) {
    super(`Not stored: ${reason}`)
  }
}
