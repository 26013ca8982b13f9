'use client'
import { useCallback } from 'react'
import type { BoardView, EditContext } from '@/lib/board'
import { personName, runsNow, type RunInfo } from '@/lib/card'
import type { Result } from '@/lib/core/result'
import type { Role } from '@/lib/core/role'
import { useBoard, useDerived, useEditContext, useNow, useSession, useSettle } from '@/app/sync'
import { useMeetingId } from './use-meeting-id'

/** What a screen stands on that shows much of the board at once, as those after the run do. */
export interface RaceDay {
  meetingId: string
  view: BoardView
  ctx: EditContext
  /** Server time, ms; moves in coarse steps so that screens don't render for nothing. */
  now: number
  runs: readonly RunInfo[]
  me: { personId: string; role: Role }
  /** Hand over an edit's outcome: offers undo when it worked, shows the refusal when not. True when it worked. */
  settle: (result: Result<unknown>, said?: string) => boolean
  nameOf: (personId: string | null | undefined) => string
}

export function useRaceDay(): RaceDay {
  const meetingId = useMeetingId()
  const view = useBoard()
  const ctx = useEditContext()
  const me = useSession()
  const now = useNow(10_000)
  const runs = useDerived(runsNow)
  const settle = useSettle()
  const nameOf = useCallback((id: string | null | undefined) => personName(view, id), [view])
  return { meetingId, view, ctx, now, runs, me, settle, nameOf }
}
