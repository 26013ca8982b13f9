import { fetchFresh } from '@/app/sync/fetch-fresh'
import { IdbStore } from '@/app/sync/idb-store'
import { stockProvider } from '@/app/sync/stock-provider'
import { tabDoorbell } from '@/app/sync/tab-doorbell'
import { FactsCache } from './facts-cache'
import { packNews, type SeasonOrder } from './season-messages'
import { SeasonWork } from './season-work'

/** ms between a page's edit and its reading here: an edit is often one of several. */
const PAUSE = 300

let timer: ReturnType<typeof setTimeout> | undefined
const createProvider = stockProvider(self.location.origin)
const work = new SeasonWork({
  store: new IdbStore({ doorbell: tabDoorbell() }),
  cache: new FactsCache(),
  // Nobody is expected to make a past meeting anew: what the server does not know is gone.
  fetch: (room) =>
    fetchFresh(
      createProvider,
      room,
      () => undefined,
      () => false,
    ),
  tell: (news) => self.postMessage(packNews(news)),
  now: () => performance.now(),
  date: () => Date.now(),
  soon: (run) => {
    clearTimeout(timer)
    timer = setTimeout(run, PAUSE)
  },
  pause: () => new Promise((resolve) => setTimeout(resolve)),
})
self.onmessage = ({ data }: MessageEvent<SeasonOrder>) => work.take(data)
