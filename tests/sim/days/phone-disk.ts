import { IDBFactory } from 'fake-indexeddb'

/**
 * A phone's storage: an IndexedDB and a local storage that outlive its pages. When a page is gone, what its open transactions wrote is taken back, as a
 * browser does it.
 */
export class PhoneDisk {
  readonly #databases: IDBDatabase[] = []
  readonly #open = new Set<IDBTransaction>()
  readonly #texts = new Map<string, string>()
  readonly #factory = new IDBFactory()

  /** @param name of the database that its pages open */
  constructor(name: string) {
    disks.set(name, this)
  }

  /** Its page is gone. */
  end(): void {
    for (const database of this.#databases.splice(0)) {
      database.transaction = () => {
        throw new DOMException('The page is gone', 'InvalidStateError')
      }
      database.close()
    }
    for (const tx of this.#open)
      try {
        tx.abort()
      } catch {
        // It has ended already.
      }
    this.#open.clear()
  }

  open(name: string, version?: number): IDBOpenDBRequest {
    const request = this.#factory.open(name, version)
    request.addEventListener('success', () => this.#watch(request.result))
    return request
  }
  #watch(database: IDBDatabase): void {
    this.#databases.push(database)
    const begin = database.transaction.bind(database)
    database.transaction = (...args) => {
      const tx = begin(...args)
      if (tx.mode === 'readwrite') this.#open.add(tx)
      const ended = () => void this.#open.delete(tx)
      tx.addEventListener('complete', ended)
      tx.addEventListener('abort', ended)
      return tx
    }
  }

  /** What a page keeps without asking for a promise. */
  readonly storage = ((texts) => ({
    get length() {
      return texts.size
    },
    key: (i: number) => [...texts.keys()][i] ?? null,
    getItem: (key: string) => texts.get(key) ?? null,
    setItem: (key: string, text: string) => void texts.set(key, text),
    removeItem: (key: string) => void texts.delete(key),
    clear: () => texts.clear(),
  }))(this.#texts) as Storage
}

const disks = new Map<string, PhoneDisk>()

/** Stands in for the browser's `indexedDB`: every phone of the day that begins has one of its own. */
export const installPhoneDisks = (): void => {
  disks.clear()
  Object.defineProperty(globalThis, 'indexedDB', {
    configurable: true,
    value: {
      open: (name: string, version?: number) => {
        const disk = disks.get(name)
        if (!disk) throw new Error(`There is no phone ${name}`)
        return disk.open(name, version)
      },
    },
  })
}
