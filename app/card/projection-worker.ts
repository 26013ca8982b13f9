import { lapProjections } from '@/lib/card/projections-lap'
import type { ProjectionAnswer, ProjectionQuestion } from './projection-messages'

/** The simulator's thread: the screen never waits for it. */
self.onmessage = ({ data }: MessageEvent<ProjectionQuestion>) => {
  const { key, basis, withSpread } = data
  const answer = (a: ProjectionAnswer) => self.postMessage(a)
  try {
    answer({ key, withSpread, kind: 'done', projections: lapProjections(basis, withSpread) })
  } catch (error) {
    answer({
      key,
      withSpread,
      kind: 'failed',
      message: error instanceof Error ? error.message : String(error),
    })
  }
}
