import WebSocket from 'ws'
import { WebsocketProvider } from 'y-websocket'
import { IdbStore } from '@/app/sync/idb-store'
import type { RoomProvider } from '@/app/sync/room-provider'
import { SyncClient } from '@/app/sync/sync-client'
import type { SessionAnswer } from '@/app/sync/sync-snapshot'

/** How a device reaches its server, and who it is there. */
export interface Membership {
  /** Without the room. */
  url: () => string
  /** The Cookie header. */
  cookie: string
  askSession: () => Promise<SessionAnswer>
}

let databases = 0

/** One device with the browser's own code: its store (an IndexedDB) outlives its pages. */
export class TestPhone {
  readonly database = `phone-${++databases}`
  #pages: SyncClient[] = []
  readonly #stores: IdbStore[] = []

  /** @param member may be replaced: the device has joined anew. */
  constructor(public member: Membership) {}

  /** Open a page (a tab). */
  async visit(doorbell?: ConstructorParameters<typeof IdbStore>[0]): Promise<SyncClient> {
    const cookie = () => this.member.cookie
    class Line extends WebSocket {
      constructor(address: string | URL) {
        super(address, { headers: { cookie: cookie() } })
      }
    }
    const store = new IdbStore({ ...doorbell, name: this.database })
    this.#stores.push(store)
    const page = new SyncClient({
      store,
      createProvider: (room, doc) =>
        new WebsocketProvider(this.member.url(), room, doc, {
          connect: false,
          disableBc: true,
          maxBackoffTime: 100,
          WebSocketPolyfill: Line as unknown as typeof globalThis.WebSocket,
        }) as unknown as RoomProvider,
      askSession: () => this.member.askSession(),
    })
    this.#pages.push(page)
    await page.start()
    return page
  }

  get page(): SyncClient {
    const page = this.#pages.at(-1)
    if (!page) throw new Error('No page is open')
    return page
  }
  /** All pages are gone in the middle of whatever they did. */
  kill(): void {
    this.#stores.length = 0
    for (const page of this.#pages.splice(0)) page.close()
  }
  /** Close all pages; what they were to write in the device's store is written. */
  async close(): Promise<void> {
    await Promise.all(this.#stores.splice(0).map((store) => store.settled()))
    for (const page of this.#pages.splice(0)) page.close()
  }
}
