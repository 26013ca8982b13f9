'use client'
import { useEffect, useState } from 'react'
import { startThread } from '@/app/threads/start-thread'
import { threadTrouble } from '@/app/threads/thread-trouble'
import type { Needed, NeededQuestion } from '@/lib/standings'

export type NeededOrder = readonly { id: string; question: NeededQuestion }[]
export interface NeededReply {
  id: string
  needed: Needed
}

interface Answers {
  order: NeededOrder | null
  /** By the question's id. */
  found: ReadonlyMap<string, Needed>
  trouble: string | null
}

/** Answers in a thread of its own, as they come. Another order ends the thread: what it was asked is no longer so. */
export function useNeeded(order: NeededOrder): {
  found: ReadonlyMap<string, Needed>
  trouble: string | null
} {
  const [answers, setAnswers] = useState<Answers>({ order: null, found: new Map(), trouble: null })
  useEffect(() => {
    if (order.length === 0) return
    const thread = startThread('needed')
    const take = (change: (before: Answers) => Partial<Answers>) =>
      setAnswers((before) => {
        const mine =
          before.order === order ? before : { order, found: new Map<string, Needed>(), trouble: null }
        return { ...mine, ...change(mine) }
      })
    thread.onmessage = ({ data: { id, needed } }: MessageEvent<NeededReply>) =>
      take(({ found }) => ({ found: new Map(found).set(id, needed) }))
    thread.onerror = (event) => take(() => ({ trouble: threadTrouble('calculation', event) }))
    thread.postMessage(order)
    return () => thread.terminate()
  }, [order])
  return answers.order === order ? answers : { found: NOTHING, trouble: null }
}
const NOTHING: ReadonlyMap<string, Needed> = new Map()
