import { neededFor } from '@/lib/standings/needed'
import type { NeededOrder, NeededReply } from './use-needed'

/** What is needed, one question after the other; each answer is told as soon as it is there. */
self.onmessage = ({ data }: MessageEvent<NeededOrder>) => {
  for (const { id, question } of data) {
    const reply: NeededReply = { id, needed: neededFor(question) }
    self.postMessage(reply)
  }
}
