import SqliteDatabase from 'better-sqlite3'
import { openClient, type SqliteClient } from '@/drizzle/client'
import { DatabaseError } from '@/drizzle/database-error'
import { renewGeneration } from '@/drizzle/generation'
import { migrate } from '@/drizzle/migrate'
import type { Ledger } from './ledger'

/** What a disk does at a commit. `crash-*`: the machine dies between the write and its answer, before or after the sync. */
export type DiskMood = 'well' | 'full' | 'moved' | 'crash-unsynced' | 'crash-synced'

let blank: Buffer | null = null
/** An empty board's database; made once. */
function blankImage(): Buffer {
  if (blank) return blank
  const client = openClient(':memory:')
  migrate(client)
  blank = client.connection.serialize()
  client.close()
  return blank
}

/**
 * One machine's disk with SQLite's own engine on it: what a commit has synced is an image, which is all that a start finds. Below the image (torn
 * pages, the log's frames) nothing is simulated.
 */
export class SimulatedDisk {
  #image: Buffer = blankImage()
  mood: DiskMood = 'well'
  /** Whether a commit that returned is on the disk; of all disks, so that one that lies can be planted. */
  declare isHonest: boolean
  #unsynced = 0
  #isBegun = false

  constructor(readonly ledger: Ledger) {}

  /** Open what a start finds. `onCrash` takes the process down. */
  open(onCrash: () => void): SqliteClient {
    const client = openClient(this.#image as unknown as string)
    const { connection } = client
    // The blank one's was not drawn by this day.
    if (!this.#isBegun) {
      client.transact(() => renewGeneration(client))
      this.#image = connection.serialize()
    }
    this.#isBegun = true
    this.ledger.restarted(connection)
    const crash = () => {
      if (this.mood === 'crash-synced') this.#sync(connection)
      this.mood = 'well'
      onCrash()
      throw new DatabaseError('input-output', 'the machine died')
    }
    client.watchWith({
      before: () => {
        if (this.mood === 'full') throw new DatabaseError('disk-full', 'simulated')
      },
      after: () => {
        if (this.mood.startsWith('crash')) crash()
        if (this.isHonest || ++this.#unsynced % 4 === 0) this.#sync(connection)
        if (this.mood === 'moved') throw new DatabaseError('moved', 'simulated')
      },
      check: () => {
        if (this.mood === 'moved') throw new DatabaseError('moved', 'simulated')
      },
      closing: () => undefined,
      closed: () => undefined,
    })
    return client
  }

  /** What a start would find now. */
  look<T>(read: (tables: SqliteDatabase.Database) => T): T {
    const tables = new SqliteDatabase(this.#image)
    try {
      return read(tables)
    } finally {
      tables.close()
    }
  }

  #sync(connection: SqliteDatabase.Database): void {
    this.#image = connection.serialize()
    this.ledger.committed(connection)
  }
}
SimulatedDisk.prototype.isHonest = true
