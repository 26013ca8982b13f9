import { lapProjections } from '@/lib/card/projections/projections-lap'
import { packNews, type OverviewOrder } from './overview-messages'
import { OverviewWork } from './overview-work'

/** The overview's thread: cards' grounds, estimates and ±, of which the screen hears only what it shows. */
// A message to oneself lets a newer edit in before the next question, without the least delay that timers have.
const turns = new MessageChannel()
const work = new OverviewWork({
  project: lapProjections,
  tell: (news) => self.postMessage(packNews(news)),
  soon: () => turns.port2.postMessage(null),
  now: () => performance.now(),
})
turns.port1.onmessage = () => work.step()
self.onmessage = ({ data }: MessageEvent<OverviewOrder>) => work.take(data)
