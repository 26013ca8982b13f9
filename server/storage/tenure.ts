/**
 * [P1] What a process knows of its own right to judge. Until its lease runs out, measured from before it was asked for, nobody else can have the
 * board. That nothing is lost does not rest on this but on the epoch; that a paused process shows nothing when it wakes up does.
 */
export class Tenure {
  #until = -Infinity
  #heardAt: number
  #isOver = false

  /** `steady`: ms of a clock that only goes forward, and on while the process is paused. */
  constructor(
    readonly steady: () => number,
    readonly leaseMs: number,
  ) {
    this.#heardAt = steady()
  }

  get isOver(): boolean {
    return this.#isOver
  }
  get isSure(): boolean {
    return !this.#isOver && this.steady() < this.#until
  }
  /** Nothing has run here for longer than a lease: others may have judged meanwhile. */
  get wasAway(): boolean {
    return this.steady() - this.#heardAt > this.leaseMs
  }

  /** The database renewed the lease when it was asked after this moment. */
  renewed(askedAt: number): void {
    this.#until = Math.max(this.#until, askedAt + this.leaseMs)
  }
  /** The process is awake. While it was away this is not called. */
  tick(): void {
    if (!this.wasAway) this.#heardAt = this.steady()
  }
  /**
   * Whether it judges still. Costs nothing until its lease has run out, and then a question to the database: `ask`. While that is away nobody can
   * take over by it, and only a process that was paused itself can't know.
   */
  holds({ isUp, inTransaction }: { isUp: boolean; inTransaction: boolean }, ask: () => boolean): boolean {
    if (this.#isOver) return false
    // The transaction's beginning has asked, and its end asks again.
    if (this.isSure || inTransaction) return true
    if (!isUp) return !this.wasAway
    const before = this.steady()
    if (!ask()) return false
    this.confirmed(before)
    return true
  }
  /** It was away, and is the owner all the same. */
  confirmed(askedAt: number): void {
    this.renewed(askedAt)
    this.#heardAt = this.steady()
  }
  end(): void {
    this.#isOver = true
  }
}
