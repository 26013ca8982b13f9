'use client'
import { useEffect, useSyncExternalStore } from 'react'
import { useSession, useSyncPart } from '@/app/sync'
import { seasonDesk } from './season-desk'
import { NOTHING_SEEN, type SeasonLook, type SeasonSeen } from './season-look'
import type { SeasonMeeting } from './season-messages'

export interface SeasonLooked extends SeasonSeen {
  /** Before that nothing is known. */
  isRead: boolean
  /** Meetings that are not on this device yet: what they hold is missing. */
  away: readonly SeasonMeeting[]
  /** Those are on their way. */
  isOnline: boolean
  trouble: string | null
}

/** One look at the season from another screen, kept up while it is mounted. */
export function useSeasonLook(look: SeasonLook): SeasonLooked {
  const { deviceId, personId } = useSession()
  const desk = seasonDesk(`${deviceId} ${personId}`)
  const state = useSyncExternalStore(desk.subscribe, desk.state, desk.state)
  const isOnline = useSyncPart((s) => s.online)
  const generation = useSyncPart((s) => s.generation)
  const key = JSON.stringify(look)
  useEffect(() => desk.setGeneration(generation), [desk, generation])
  useEffect(() => desk.setOnline(isOnline), [desk, isOnline])
  useEffect(() => desk.look(key), [desk, key])
  const seen = state.seen.get(key)
  return {
    ...(seen ?? NOTHING_SEEN),
    isRead: state.meetings !== null && seen !== undefined,
    away: (state.meetings ?? []).filter((m) => m.place === 'away' || m.place === 'coming'),
    isOnline,
    trouble: state.trouble,
  }
}
