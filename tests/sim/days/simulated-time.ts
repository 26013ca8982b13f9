import { webcrypto } from 'node:crypto'
import { Random } from '@/tests/fuzz/random'

/** Must be imported before anything that binds the clock or the source of random numbers when it is loaded (lib0 does). */

/** Somebody to whom things happen: a phone, a process. What is due while it is paused happens when it wakes up, what is due once it is dead never. */
export class Actor {
  isDead = false
  #isPaused = false
  readonly #waiting: Due[] = []
  constructor(
    readonly time: SimulatedTime,
    readonly name: string,
  ) {}

  get isPaused(): boolean {
    return this.#isPaused
  }
  pause(): void {
    this.#isPaused = true
  }
  resume(): void {
    this.#isPaused = false
    for (const due of this.#waiting.splice(0)) this.time.again(due)
  }
  hold(due: Due): void {
    this.#waiting.push(due)
  }
  /** Run as this actor, as soon as whatever runs now has ended, or after so many ms. */
  soon(run: () => void, ms = 0): void {
    this.time.after(ms, run, this)
  }
}

interface Due {
  at: number
  n: number
  actor: Actor | null
  run: () => void
  isOff: boolean
}

/** What the simulated timers hand out in place of Node's. */
class Timer {
  constructor(
    readonly due: { now: Due },
    readonly n: number,
  ) {}
  ref(): this {
    return this
  }
  unref(): this {
    return this
  }
  hasRef(): boolean {
    return true
  }
  [Symbol.toPrimitive](): number {
    return this.n
  }
}

const real = {
  setTimeout: globalThis.setTimeout,
  setInterval: globalThis.setInterval,
  setImmediate: globalThis.setImmediate,
  clearTimeout: globalThis.clearTimeout,
  clearInterval: globalThis.clearInterval,
  clearImmediate: globalThis.clearImmediate,
  now: Date.now,
  steady: performance.now.bind(performance),
  random: Math.random,
  fill: webcrypto.getRandomValues.bind(webcrypto),
}

/** Race days begin here, ms since the epoch. */
export const START = Date.UTC(2031, 4, 3, 7)
/** The day that runs at this moment. */
let running: SimulatedTime | null = null

/**
 * One clock, one source of random numbers and one order of events for everything in a day. The program's own calls of timers, clocks and random
 * numbers come here while an event of a day runs; every event is followed by all the microtasks that it left before the next one begins.
 */
export class SimulatedTime {
  readonly random: Random
  /** ms since the epoch */
  now = START
  /** Whose event runs. */
  current: Actor | null = null
  /** What a reading of the clock takes, ms: how slow the machine is. */
  readingMs = 0
  events = 0
  /** Told after each event. */
  afterEach: (actor: Actor | null) => void = () => undefined
  #n = 0
  readonly #heap: Due[] = []

  constructor(seed: number) {
    this.random = new Random(seed)
  }

  after(ms: number, run: () => void, actor: Actor | null = this.current): Due {
    const due = { at: this.now + Math.max(0, ms), n: ++this.#n, actor, run, isOff: false }
    this.#push(due)
    return due
  }
  /** What an actor slept through is due now. */
  again(due: Due): void {
    due.at = Math.max(due.at, this.now)
    this.#push(due)
  }
  read(): number {
    return (this.now += this.readingMs)
  }

  /** Let things happen until this moment, or until `isDone`, which is asked after each event. */
  async runUntil(at: number, isDone: () => boolean = () => false): Promise<void> {
    // eslint-disable-next-line @typescript-eslint/no-this-alias -- which day the program's calls of the clock belong to
    running = this
    try {
      for (let due = this.#heap[0]; due && due.at <= at; due = this.#heap[0]) {
        this.#pop()
        const { actor } = due
        if (due.isOff || actor?.isDead) continue
        if (actor?.isPaused) {
          actor.hold(due)
          continue
        }
        this.now = Math.max(this.now, due.at)
        this.events++
        this.current = actor
        due.run()
        await new Promise<void>((resolve) => void real.setImmediate(resolve))
        this.afterEach(actor)
        this.current = null
        if (isDone()) return
      }
      this.now = Math.max(this.now, at)
    } finally {
      this.current = null
      running = null
    }
  }

  #push(due: Due): void {
    const heap = this.#heap
    let i = heap.push(due) - 1
    while (i > 0) {
      const up = (i - 1) >> 1
      if (!isBefore(due, heap[up])) break
      heap[i] = heap[up] as Due
      i = up
    }
    heap[i] = due
  }
  #pop(): void {
    const heap = this.#heap
    const last = heap.pop()
    if (!last || heap.length === 0) return
    let i = 0
    for (;;) {
      let down = 2 * i + 1
      if (down >= heap.length) break
      if (isBefore(heap[down + 1], heap[down])) down++
      if (!isBefore(heap[down], last)) break
      heap[i] = heap[down] as Due
      i = down
    }
    heap[i] = last
  }
}

const isBefore = (a: Due | undefined, b: Due | undefined): boolean =>
  a !== undefined && (b === undefined || a.at < b.at || (a.at === b.at && a.n < b.n))

let timers = 0
function later(time: SimulatedTime, ms: number, run: () => void, isAgain: boolean): Timer {
  const box = { now: time.after(ms, tick) }
  const { actor } = box.now
  function tick(): void {
    if (isAgain) box.now = time.after(Math.max(1, ms), tick, actor)
    run()
  }
  return new Timer(box, ++timers)
}
const off = (timer: unknown, orElse: (timer: never) => void): void => {
  if (timer instanceof Timer) timer.due.now.isOff = true
  else orElse(timer as never)
}

type Args = unknown[]
type Run = (...args: Args) => void
globalThis.setTimeout = ((run: Run, ms = 0, ...args: Args) =>
  running?.current === undefined || running.current === null
    ? real.setTimeout(run, ms, ...args)
    : later(running, ms, () => run(...args), false)) as typeof setTimeout
globalThis.setInterval = ((run: Run, ms = 0, ...args: Args) =>
  running?.current === undefined || running.current === null
    ? real.setInterval(run, ms, ...args)
    : later(running, ms, () => run(...args), true)) as typeof setInterval
globalThis.setImmediate = ((run: Run, ...args: Args) =>
  running?.current === undefined || running.current === null
    ? real.setImmediate(run, ...args)
    : later(running, 0, () => run(...args), false)) as typeof setImmediate
globalThis.clearTimeout = ((t: unknown) => off(t, real.clearTimeout)) as typeof clearTimeout
globalThis.clearInterval = ((t: unknown) => off(t, real.clearInterval)) as typeof clearInterval
globalThis.clearImmediate = ((t: unknown) => off(t, real.clearImmediate)) as typeof clearImmediate
Date.now = () => (running ? Math.floor(running.read()) : real.now())
performance.now = () => (running ? running.read() - START : real.steady())
Math.random = () => (running ? running.random.next() : real.random())
Object.defineProperty(webcrypto, 'getRandomValues', {
  configurable: true,
  writable: true,
  value: <T extends ArrayBufferView>(array: T): T => {
    if (!running) return real.fill(array as never) as T
    const bytes = new Uint8Array(array.buffer, array.byteOffset, array.byteLength)
    for (let i = 0; i < bytes.length; i++) bytes[i] = running.random.below(256)
    return array
  },
})
