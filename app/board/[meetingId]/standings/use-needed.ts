'use client'
import { useEffect } from 'react'
import { threadTrouble } from '@/app/threads/thread-trouble'
import { useAsked, useDesk } from '@/app/threads/use-desk'
import type { NeededFound, NeededOrder, NeededTasks } from './needed-messages'

const NOTHING: NeededFound = new Map()

/** Answers in a thread of its own, as they come. Another order ends the thread: what it was asked is no longer so. */
export function useNeeded(order: NeededOrder): { found: NeededFound; trouble: string | null } {
  const desk = useDesk<NeededTasks>('needed', {
    words: (gone) => threadTrouble('calculation', gone),
    endsOvertaken: true,
  })
  useEffect(() => {
    if (order.length > 0) desk.ask('needed', order)
    else desk.drop('needed')
  }, [desk, order])
  const { answer, of, asked, failed } = useAsked(desk, 'needed')
  return {
    found: (of === order && answer) || NOTHING,
    trouble: asked === order ? failed : null,
  }
}
