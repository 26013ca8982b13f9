import 'fake-indexeddb/auto'
import { createHash } from 'node:crypto'
import type { Role } from '@/lib/core/role'
import { DEFAULT_LIMITS } from '@/server/sync/limits'
import { cookieOf, sessionOf, upgradeRequest } from './board-process'
import type { BoardSide } from './board-side'
import { Ledger } from './ledger'
import { LoneBoard } from './lone-board'
import { PeerBoard } from './peer-board'
import { installPhoneDisks, PhoneDisk } from './phone-disk'
import { RaceDayPhone, type PhoneWorld } from './race-day-phone'
import { SimulatedLine, type LineEnd } from './simulated-line'
import { Actor, SimulatedTime } from './simulated-time'

/** `lone`: one process with its own disk. Else so many on one database. */
export type BoardKind = 'lone' | keyof typeof COUNT
const COUNT = { one: 1, two: 2, three: 3 } as const

export interface RaceDayResult {
  seed: number
  violations: readonly string[]
  /** Over everything that was stored, heard and called saved, with its time. */
  digest: string
  acknowledged: number
  commits: number
  events: number
}

const CREW: readonly (readonly [name: string, role: Role])[] = [
  ['boss', 'manager'],
  ['mech', 'mechanic'],
  ['dora', 'driver'],
  ['mate', 'mechanic'],
  ['gus', 'guest'],
  ['dan', 'driver'],
  ['max', 'mechanic'],
  ['moe', 'manager'],
]
/** Where each role may not write; whoever else sees such a value has seen a leak. */
const FORBIDDEN: Record<Role, readonly (readonly [string, string, string])[]> = {
  manager: [['boats', 'b1', 'name']],
  mechanic: [
    ['meeting', 'meeting', 'name'],
    ['heats', 'h1', 'label'],
  ],
  driver: [
    ['jobs', 'j1', 'text'],
    ['entries', 'e1', 'driverName'],
  ],
  guest: [
    ['notes', 'shared-1', 'about'],
    ['jobs', 'j1', 'text'],
  ],
}
/** After which a phone's system gives up a connection that nobody answers, ms (Linux: six tries). */
const NO_ANSWER_MS = 127_000
/** ms within which everything must agree once the faults have ended. */
const SETTLE_MS = 100_000

/** One day of a seed. */
export class RaceDay implements PhoneWorld {
  readonly time: SimulatedTime
  readonly ledger: Ledger
  readonly phones: RaceDayPhone[] = []
  readonly #hash = createHash('sha256')
  readonly board: BoardSide
  readonly #hand: Actor
  readonly #weather
  readonly #sessions = new Map(CREW.map(([name, role]) => [`session-${name}`, sessionOf(name, role)]))

  /** @param kind of board; drawn where it is left open */
  constructor(
    readonly seed: number,
    kind: BoardKind | null = null,
  ) {
    installPhoneDisks()
    const time = (this.time = new SimulatedTime(seed))
    const { random } = time
    this.ledger = new Ledger((line) => void this.#hash.update(`${time.now} ${line}\n`))
    const slow = random.chance(0.3) ? 400 : random.chance(0.5) ? 60 : 8
    this.#weather = { delay: () => 1 + random.next() * slow }
    time.readingMs = random.chance(0.3) ? 0.02 + random.next() * 0.2 : 0
    const limits = {
      ...DEFAULT_LIMITS,
      compactAfter: random.pick([8, 30, 1_000]),
      backlogBytes: random.pick([1_200, 1024 * 1024]),
      idleUnloadMs: random.pick([2_000, 60_000]),
      // Who is closed for good for what it may not do takes no further part in the day.
      offences: 10_000,
      refusedBytesPerHour: random.pick([60, 16 * 1024]),
    }
    this.#hand = new Actor(time, 'hand')
    const world = {
      time,
      ledger: this.ledger,
      limits,
      sessions: this.#sessions,
      hand: this.#hand,
      weather: this.#weather,
    }
    const drawn = random.pick(['lone', 'lone', 'lone', 'one', 'two', 'three'] as const)
    const is = kind ?? drawn
    this.board = is === 'lone' ? new LoneBoard(world) : new PeerBoard(world, COUNT[is])
    for (const [name, role] of CREW.slice(0, 4 + random.below(5))) {
      const skew = random.pick([0, 0, 300, -4_000, 86_400_000])
      this.phones.push(new RaceDayPhone(this, sessionOf(name, role), new PhoneDisk(name), skew))
    }
    const byActor = new Map<Actor | null, RaceDayPhone>(this.phones.map((p) => [p.actor, p]))
    time.afterEach = (actor) => byActor.get(actor)?.look()
  }

  dial(phone: RaceDayPhone, url: string, end: LineEnd): SimulatedLine | null {
    const place = phone.isPartitioned ? null : this.board.door()
    if (!place) return null
    const line = new SimulatedLine(this.time, this.#weather, (is) => void phone.lines.delete(is))
    line.seat(0, end)
    phone.lines.add(line)
    const request = upgradeRequest(url, cookieOf(phone.session))
    const { actor } = place
    const ms = this.#weather.delay()
    actor.soon(() => place.accept(request, line), ms)
    // Nobody may be there any more: most machines say so, of others the phone hears nothing until it gives up by itself.
    const isTold = this.time.random.chance(0.8)
    phone.actor.soon(
      () => {
        if (actor.isDead && !line.isDown) line.cut()
      },
      isTold ? 2 * ms : NO_ANSWER_MS,
    )
    return line
  }
  reaches(phone: RaceDayPhone): boolean {
    return !phone.isPartitioned && this.board.door() !== null
  }

  async run(): Promise<RaceDayResult> {
    const { time, ledger } = this
    const { random } = time
    const isBad = () => ledger.violations.length > 0
    await this.board.open()
    for (const phone of this.phones) this.#at(phone.actor, () => phone.visit())
    await time.runUntil(time.now + 1_500)
    const steps = 60 + random.below(120)
    for (let i = 0; i < steps && !isBad(); i++) {
      this.#step()
      await time.runUntil(time.now + (random.chance(0.1) ? random.below(9_000) : random.below(500)), isBad)
    }
    this.#heal()
    const until = time.now + SETTLE_MS
    let isSettled = false
    while (!isBad() && !isSettled && time.now < until) {
      await time.runUntil(time.now + 500, isBad)
      isSettled = this.#whyUnsettled() === null
    }
    if (!isBad()) {
      if (!isSettled) ledger.violate(`not settled: ${this.#whyUnsettled()}`)
      this.board.look((tables) => ledger.close(tables))
      const unequal = this.#whyUnequal()
      if (unequal !== null) ledger.violate(unequal)
    }
    for (const phone of this.phones) this.#at(phone.actor, () => phone.kill())
    this.board.stop()
    await time.runUntil(time.now + 5_000)
    return {
      seed: this.seed,
      violations: ledger.violations,
      digest: this.#hash.digest('hex'),
      acknowledged: ledger.acknowledged,
      commits: ledger.commits,
      events: time.events,
    }
  }

  #at(actor: Actor, run: () => void): void {
    actor.soon(run)
  }

  #step(): void {
    const { random } = this.time
    const phone = random.pick(this.phones)
    const at = (run: () => void) => this.#at(phone.actor, run)
    const line = () => {
      const lines = [...phone.lines]
      return lines.length > 0 ? random.pick(lines) : null
    }
    const { role } = phone.session
    const acts = {
      edit: () => {
        if (role === 'guest') return
        const [slot, isShared] = [random.below(4), random.chance(0.35)]
        at(() => (isShared ? phone.editShared(slot) : phone.editOwn(slot)))
      },
      burst: () => {
        if (role === 'guest') return
        for (let n = 1 + random.below(20); n > 0; n--) {
          const slot = random.below(4)
          phone.actor.soon(() => phone.editOwn(slot), random.below(60))
        }
      },
      forbidden: () => {
        const where = random.pick(FORBIDDEN[role])
        at(() => phone.editForbidden(...where))
      },
      leave: () => at(() => phone.leave()),
      kill: () => at(() => phone.kill()),
      visit: () => this.phones.forEach((p) => this.#at(p.actor, () => p.visit())),
      cut: () => line()?.cut(),
      silence: () => phone.lines.forEach((l) => l.silence()),
      speak: () => this.phones.forEach((p) => p.lines.forEach((l) => l.speak())),
      partition: () => {
        phone.isPartitioned = true
        for (const l of [...phone.lines])
          if (random.chance(0.5)) l.silence()
          else l.cut()
      },
      reach: () => this.phones.forEach((p) => (p.isPartitioned = false)),
      freeze: () => phone.actor.pause(),
      thaw: () => this.phones.forEach((p) => p.actor.resume()),
      lookAgain: () => at(() => phone.lookAgain()),
      board: () => this.board.step(),
    }
    const act = random.weighted({
      edit: 40,
      burst: 8,
      forbidden: 5,
      leave: 2,
      kill: 3,
      visit: 6,
      cut: 5,
      silence: 2,
      speak: 3,
      partition: 2,
      reach: 4,
      freeze: 1.5,
      thaw: 3,
      lookAgain: 2,
      board: 16,
    } satisfies Record<keyof typeof acts, number>)
    this.ledger.trace(`act ${act} ${phone.name}`)
    acts[act]()
  }

  /** The faults end. */
  #heal(): void {
    this.ledger.trace('the faults end')
    this.board.heal()
    for (const phone of this.phones) {
      phone.isPartitioned = false
      phone.actor.resume()
      for (const line of phone.lines) line.speak()
      this.#at(phone.actor, () => phone.visit())
    }
  }

  #whyUnsettled(): string | null {
    const waiting = this.phones.find((p) => !p.isSettled)
    return waiting ? waiting.describe() : this.#whyUnequal()
  }
  #whyUnequal(): string | null {
    const board = sorted(this.ledger.board())
    const other = this.phones.find((p) => sorted(p.board()) !== board)
    return other ? `${other.name} has ${sorted(other.board())}, stored is ${board}` : null
  }
}

const sorted = (board: Record<string, unknown>): string =>
  JSON.stringify(Object.entries(board).sort(([a], [b]) => (a < b ? -1 : 1)))

export const runRaceDay = (seed: number, kind: BoardKind | null = null): Promise<RaceDayResult> =>
  new RaceDay(seed, kind).run()
