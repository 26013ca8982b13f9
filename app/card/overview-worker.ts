import { lapProjections } from '@/lib/card/projections/projections-lap'
import { laterTurn } from '@/app/threads/later-turn'
import { packNews, type OverviewOrder } from './overview-messages'
import { OverviewWork } from './overview-work'

/** The overview's thread: cards' grounds, estimates and ±, of which the screen hears only what it shows. */
const work: OverviewWork = new OverviewWork({
  project: lapProjections,
  tell: (news) => self.postMessage(packNews(news)),
  soon: laterTurn(() => work.step()),
  now: () => performance.now(),
})
self.onmessage = ({ data }: MessageEvent<OverviewOrder>) => work.take(data)
