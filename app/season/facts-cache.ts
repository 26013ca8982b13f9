import { openDB, type DBSchema, type IDBPDatabase } from 'idb'
import type { MeetingFacts } from '@/lib/season'
import type { StoredRoomName } from '@/app/sync/client-store'

/** Raise it whenever `MeetingFacts`, or how they are read off a document, changes: what was worked out before is then worked out anew. */
const FORMAT = 4
const NAME = 'stagecall-season'

/** As JSON: a text is read back at a fraction of what the object costs. */
export interface KeptFacts {
  print: string
  facts: string
  /** Of the document. */
  bytes: number
}

export interface FreshFacts extends Omit<KeptFacts, 'facts'> {
  room: string
  facts: MeetingFacts
}

interface Schema extends DBSchema {
  facts: { key: string; value: KeptFacts }
}

/**
 * What meetings' documents came to, so that a season is not worked out anew with each visit. A database of its own beside the device's store: it holds nothing that
 * the store does not, and where it can't be had everything is worked out from the documents.
 */
export class FactsCache {
  readonly #db: Promise<IDBPDatabase<Schema> | null>

  constructor(name = NAME) {
    this.#db = openDB<Schema>(name, 1, {
      upgrade: (db) => void db.createObjectStore('facts'),
      blocking: (_now, _next, event) => (event.target as IDBDatabase).close(),
    }).catch(() => null)
  }

  /** All that is kept, by room. */
  async all(): Promise<ReadonlyMap<string, KeptFacts>> {
    try {
      const db = await this.#db
      if (!db) return new Map()
      const tx = db.transaction('facts')
      const [keys, values] = await Promise.all([tx.store.getAllKeys(), tx.store.getAll()])
      return new Map(keys.flatMap((key, i) => (values[i] ? [[key, values[i]] as const] : [])))
    } catch {
      return new Map()
    }
  }

  /** Put these in the place of what was kept of their rooms, and drop the rooms that the device stores no more. */
  async keep(fresh: readonly FreshFacts[], gone: readonly string[]): Promise<void> {
    try {
      const db = await this.#db
      if (!db) return
      const tx = db.transaction('facts', 'readwrite')
      for (const { room, facts, ...kept } of fresh)
        await tx.store.put({ ...kept, facts: JSON.stringify(facts) }, room)
      for (const room of gone) await tx.store.delete(room)
      await tx.done
    } catch {
      // No room, or no storage: the next visit works it out again.
    }
  }
}

/** Tells whether what is stored of a room is what facts were read off. */
export const printOf = ({ life, rows, last }: StoredRoomName): string => [FORMAT, life, rows, last].join(' ')
