import { lapProjections } from '@/lib/card/projections/projections-lap'
import type { ProjectionQuestions } from './projection-messages'
import { ProjectionWork } from './projection-work'

/** The simulator's thread: the screen never waits for it. */
// A message to oneself lets a newer list in before the next question, without the least delay that timers have.
const turns = new MessageChannel()
const work = new ProjectionWork({
  project: lapProjections,
  answer: (answers) => self.postMessage(answers),
  soon: () => turns.port2.postMessage(null),
  now: () => performance.now(),
})
turns.port1.onmessage = () => work.step()
self.onmessage = ({ data }: MessageEvent<ProjectionQuestions>) => work.want(data)
