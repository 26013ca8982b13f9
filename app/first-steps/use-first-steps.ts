'use client'
import { useEffect, useState, useSyncExternalStore } from 'react'
import type { CrewResponse } from '@/lib/join/join-api'
import { useBoard, useSession } from '@/app/sync'
import { callApi } from '@/app/ui/call-api'

const KEY = 'stagecall_first_steps'
const listeners = new Set<() => void>()
let put: boolean | null = null

function isPutAway(): boolean {
  if (put === null)
    try {
      put = localStorage.getItem(KEY) === 'away'
    } catch {
      // Storage is forbidden: put away lasts as long as the page.
      put = false
    }
  return put
}

/** Whether this device has put the first steps away; and how to do so, or to have them back. */
export function usePutAway(): [boolean, (away: boolean) => void] {
  const away = useSyncExternalStore(
    (changed) => {
      listeners.add(changed)
      return () => listeners.delete(changed)
    },
    isPutAway,
    () => true,
  )
  const set = (next: boolean) => {
    put = next
    try {
      if (next) localStorage.setItem(KEY, 'away')
      else localStorage.removeItem(KEY)
    } catch {
      // As above.
    }
    for (const changed of listeners) changed()
  }
  return [away, set]
}

/** ms; somebody joining shows on the screen of who invited them. */
const EVERY = 5_000

/** People beside this one with a device on the board; null until the server has answered. */
export function useOthersOnBoard(isAsked: boolean): number | null {
  const { personId } = useSession()
  const people = useBoard().people.live.length
  const [others, setOthers] = useState<number | null>(null)
  useEffect(() => {
    if (!isAsked) return
    let isOver = false
    const ask = async () => {
      const crew = await callApi<CrewResponse>('/api/crew/people')
      if (crew.ok && !isOver)
        setOthers(crew.value.people.filter((p) => p.personId !== personId && p.devices.length > 0).length)
    }
    void ask()
    const timer = setInterval(() => {
      if (document.visibilityState === 'visible') void ask()
    }, EVERY)
    return () => {
      isOver = true
      clearInterval(timer)
    }
  }, [isAsked, personId, people])
  return others
}
