import 'fake-indexeddb/auto'
import { forceCloseDatabase, IDBFactory } from 'fake-indexeddb'
import { afterEach, beforeEach, vi } from 'vitest'
import * as Y from 'yjs'
import { IdbStore } from '@/app/sync/idb-store'

/** A Yjs update that sets one name. */
export const update = (text: string): Uint8Array => {
  const doc = new Y.Doc()
  doc.getMap('m').set(text, text)
  return Y.encodeStateAsUpdate(doc)
}

/** Stores on an empty device for each test of the file, and the connections that they opened. */
export function deviceStores() {
  const stores: IdbStore[] = []
  const opened: IDBDatabase[] = []
  beforeEach(() => {
    globalThis.indexedDB = new IDBFactory()
    const real = IDBFactory.prototype.open
    vi.spyOn(IDBFactory.prototype, 'open').mockImplementation(function (this: IDBFactory, ...args) {
      const request = real.apply(this, args)
      request.addEventListener('success', () => void opened.push(request.result))
      return request
    })
  })
  afterEach(() => {
    vi.restoreAllMocks()
    stores.splice(0).forEach((s) => s.close())
    opened.splice(0)
  })
  const store = (options: ConstructorParameters<typeof IdbStore>[0] = {}) => {
    const made = new IdbStore(options)
    stores.push(made)
    return made
  }
  /** The newest connection is closed as the browser does: by an event, with nobody asked. */
  const lose = () => {
    const lost = opened.at(-1)
    if (!lost) throw new Error('nothing was opened')
    forceCloseDatabase(lost as unknown as Parameters<typeof forceCloseDatabase>[0])
  }
  return { store, lose, opened }
}
