import type SqliteDatabase from 'better-sqlite3'
import { BoardProcess } from './board-process'
import type { BoardSide, BoardWorld } from './board-side'
import { SimulatedDisk } from './simulated-disk'

/** One process and its disk. */
export class LoneBoard implements BoardSide {
  readonly disk: SimulatedDisk
  readonly process: BoardProcess

  constructor(readonly world: BoardWorld) {
    this.disk = new SimulatedDisk(world.ledger)
    this.process = new BoardProcess(world, this.disk)
  }

  async open(): Promise<void> {
    this.process.start()
    await this.world.time.runUntil(this.world.time.now + 500)
  }
  door(): BoardProcess | null {
    return this.process.isUp ? this.process : null
  }

  step(): void {
    const { random } = this.world.time
    const { disk, process } = this
    const faults = {
      crash: () => {
        if (!process.isUp) return
        process.crash(random.chance(0.7))
        this.world.hand.soon(() => process.start(), 100 + random.below(6_000))
      },
      crashInCommit: () => {
        if (disk.mood === 'well') disk.mood = random.pick(['crash-unsynced', 'crash-synced'] as const)
      },
      full: () => void (disk.mood = 'full'),
      moved: () => void (disk.mood = 'moved'),
      well: () => void (disk.mood = 'well'),
      start: () => process.start(),
      hang: () => process.actor.pause(),
      unhang: () => process.actor.resume(),
    }
    const fault = random.weighted({
      crash: 1.5,
      crashInCommit: 2,
      full: 1.5,
      moved: 1,
      well: 5,
      start: 3,
      hang: 1,
      unhang: 3,
    } satisfies Record<keyof typeof faults, number>)
    this.world.ledger.trace(`board ${fault}`)
    faults[fault]()
  }

  heal(): void {
    this.disk.mood = 'well'
    this.process.actor.resume()
    this.process.start()
  }
  look(read: (tables: SqliteDatabase.Database) => void): void {
    this.disk.look(read)
  }
  stop(): void {
    this.process.actor.soon(() => this.process.stop())
  }
}
