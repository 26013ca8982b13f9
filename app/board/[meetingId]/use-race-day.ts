'use client'
import { useCallback } from 'react'
import { useParams } from 'next/navigation'
import type { BoardView, EditContext } from '@/lib/board'
import { forecastNow, personName, runsNow, type DayForecast, type RunInfo } from '@/lib/card'
import type { Result } from '@/lib/core/result'
import type { Role } from '@/lib/core/role'
import { useBoard, useDerived, useEditContext, useNow, useSession, useSettle } from '../../sync'

/** What every screen of a meeting stands on. */
export interface RaceDay {
  meetingId: string
  view: BoardView
  ctx: EditContext
  /** Server time, ms; moves in coarse steps so that screens don't render for nothing. */
  now: number
  forecast: DayForecast
  runs: readonly RunInfo[]
  me: { personId: string; role: Role }
  /** Take an edit's outcome: offers undo when it worked, shows the refusal when not. True when it worked. */
  settle: (result: Result<unknown>, said?: string) => boolean
  nameOf: (personId: string | null | undefined) => string
}

/** `stepMs`: how often the clock moves. */
export function useRaceDay(stepMs = 10_000): RaceDay {
  const { meetingId } = useParams<{ meetingId: string }>()
  const view = useBoard()
  const ctx = useEditContext()
  const me = useSession()
  const now = useNow(stepMs)
  const forecast = useDerived(forecastNow)
  const runs = useDerived(runsNow)
  const settle = useSettle()
  const nameOf = useCallback((id: string | null | undefined) => personName(view, id), [view])
  return { meetingId, view, ctx, now, forecast, runs, me, settle, nameOf }
}
