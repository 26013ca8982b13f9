import type SqliteDatabase from 'better-sqlite3'
import type { BoardSide, BoardWorld } from './board-side'
import { PeerProcess } from './peer-process'
import { SimulatedEngine } from './simulated-engine'

/** Several processes on one engine, behind a balancer that sends a phone to any of them. */
export class PeerBoard implements BoardSide {
  readonly engine: SimulatedEngine
  readonly peers: PeerProcess[] = []

  constructor(
    readonly world: BoardWorld,
    count: number,
  ) {
    const engine = (this.engine = new SimulatedEngine(world.time, world.ledger))
    const { peers } = this
    for (let n = 0; n < count; n++) peers.push(new PeerProcess({ ...world, engine, peers }, `board-${n}`))
  }

  async open(): Promise<void> {
    const { time } = this.world
    for (const peer of this.peers) {
      peer.start()
      // The first has taken and made the board before the next one looks.
      await time.runUntil(time.now + 700)
    }
  }
  door(): PeerProcess | null {
    const up = this.peers.filter((p) => p.isUp)
    return up.length > 0 ? this.world.time.random.pick(up) : null
  }

  step(): void {
    const { random } = this.world.time
    const { engine, peers, world } = this
    const peer = random.pick(peers)
    const judge = peers.find((p) => p.isUp && p.address === engine.holder()?.address) ?? peer
    const any = random.chance(0.7) ? judge : peer
    const faults = {
      crash: () => {
        any.crash(random.chance(0.7))
        world.hand.soon(() => any.start(), 100 + random.below(6_000))
      },
      crashInCommit: () => void (engine.mood = random.pick(['crash-written', 'crash-unwritten'] as const)),
      lost: () => void (engine.mood = random.pick(['lost-written', 'lost-unwritten'] as const)),
      slow: () => void (engine.mood = 'slow'),
      full: () => void (engine.mood = 'full'),
      well: () => void (engine.mood = 'well'),
      down: () => void (engine.isDown = true),
      up: () => void (engine.isDown = false),
      cutOff: () => any.cutOff(true),
      reach: () => peers.forEach((p) => p.cutOff(false)),
      pause: () => {
        const { actor } = any
        actor.pause()
        world.hand.soon(() => actor.resume(), 100 + random.below(4_000))
      },
    }
    const fault = random.weighted({
      crash: 2,
      crashInCommit: 1.5,
      lost: 2,
      slow: 1,
      full: 1,
      well: 4,
      down: 0.5,
      up: 3,
      cutOff: 1,
      reach: 3,
      pause: 3,
    } satisfies Record<keyof typeof faults, number>)
    world.ledger.trace(`board ${fault} ${any.address}`)
    faults[fault]()
  }

  heal(): void {
    this.engine.mood = 'well'
    this.engine.isDown = false
    for (const peer of this.peers) {
      peer.cutOff(false)
      peer.actor.resume()
      peer.start()
    }
  }
  look(read: (tables: SqliteDatabase.Database) => void): void {
    read(this.engine.tables)
  }
  stop(): void {
    for (const peer of this.peers) peer.crash(true)
  }
}
