'use client'
import { useCallback, useMemo, useState } from 'react'
import { useParams } from 'next/navigation'
import type { BoardView, EditContext } from '@/lib/board'
import { dayForecast, runsOf, ViewMemo, type DayForecast, type RunInfo } from '@/lib/card'
import type { Result } from '@/lib/core/result'
import type { Role } from '@/lib/core/role'
import { useBoard, useBoardPart, useEditContext, useNow, useSession, useSettle } from '../../sync'

/** What every screen of a meeting stands on. */
export interface RaceDay {
  meetingId: string
  view: BoardView
  ctx: EditContext
  /** Server time, ms; moves in coarse steps so that screens don't render for nothing. */
  now: number
  forecast: DayForecast
  runs: RunInfo[]
  me: { personId: string; role: Role }
  /** Take an edit's outcome: offers undo when it worked, shows the refusal when not. True when it worked. */
  settle: (result: Result<unknown>, said?: string) => boolean
  nameOf: (personId: string | null | undefined) => string
}

/**
 * The team's runs alone: for a screen that renders nothing else of the board as a whole, and so not with every edit.
 * `stepMs`: how often the clock moves.
 */
export function useRuns(stepMs = 10_000): RunInfo[] {
  const now = useNow(stepMs)
  const [memo] = useState(() => new ViewMemo<RunInfo[]>())
  return useBoardPart((view) =>
    memo.get('runs', view, { now, forecast: dayForecast(view, now) }, (v, a) => runsOf(v, a.now, a.forecast)),
  )
}

/** `stepMs`: how often the clock moves. */
export function useRaceDay(stepMs = 10_000): RaceDay {
  const { meetingId } = useParams<{ meetingId: string }>()
  const view = useBoard()
  const ctx = useEditContext()
  const me = useSession()
  const now = useNow(stepMs)
  const forecast = useMemo(() => dayForecast(view, now), [view, now])
  const [memo] = useState(() => new ViewMemo<RunInfo[]>())
  // The same runs while nothing of theirs changed: an edit of something else leaves what rests on them alone.
  const runs = useMemo(
    () => memo.get('runs', view, { now, forecast }, (v, a) => runsOf(v, a.now, a.forecast)),
    [memo, view, now, forecast],
  )
  const settle = useSettle()
  const nameOf = useCallback(
    (id: string | null | undefined) => view.people.get(id)?.name ?? (id ? 'somebody' : 'nobody'),
    [view],
  )
  return { meetingId, view, ctx, now, forecast, runs, me, settle, nameOf }
}
