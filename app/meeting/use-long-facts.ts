import { useEffect } from 'react'
import { useClientBoard } from '@/app/sync'
import type { LongFactsThread } from './long-facts-thread'

/** While a meeting is open, what its board takes long to derive is worked out beside the screen. Few days are that long: the rest load nothing for it. */
export function useLongFacts(): void {
  const { graph } = useClientBoard()
  useEffect(() => {
    let isOver = false
    let thread: Promise<LongFactsThread> | null = null
    const takeBack = graph.lend({
      workOut: (name, question, done) => {
        thread ??= import('./long-facts-thread').then((m) => m.openLongFacts())
        thread.then(
          (t) => isOver || t.workOut(name, question, done),
          () => done(null),
        )
      },
    })
    return () => {
      isOver = true
      // After the screens below have let go: what is pending would be worked out for nobody.
      queueMicrotask(takeBack)
      thread?.then(
        (t) => t.close(),
        () => undefined,
      )
    }
  }, [graph])
}
