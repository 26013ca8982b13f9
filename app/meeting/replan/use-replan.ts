'use client'
import { useAsk, useDerived, useEditContext } from '@/app/sync'
import { useEffect } from 'react'
import { canWrite } from '@/lib/board'
import { planInputNow, planWatchNow, type PlanWatch } from '@/lib/card'
import { replanGoals } from '@/lib/planner'
import type { KeptParts } from './plan-messages'
import { useChargePlan, type PlanState } from './use-charge-plan'

/** The board must stand still this long before the solver is asked: stamps and taps come in bursts. ms */
const SETTLE_MS = 2500

export interface Replan {
  watch: PlanWatch
  plan: PlanState
  mayTake: boolean
  /** A person asks: the best plan there is, keeping what people know only where it costs nothing. */
  ask: () => void
  /** Take some runs' parts of the proposal as they are, and fit the rest around them. */
  fitAround: (keep: KeptParts) => void
  /** The proposal, or the way out, has been dealt with. */
  drop: () => void
}

/**
 * Watches the plan that was taken, and works out a new one when it no longer holds or when packs would sit full too long. Only on devices of
 * those who may take a plan; nothing changes on the board until somebody does.
 */
export function useReplan(): Replan {
  const ctx = useEditContext()
  const look = useAsk()
  const { plan, ask, drop } = useChargePlan()
  const watch = useDerived(planWatchNow)
  const mayTake = canWrite(ctx, 'meeting', 'runs', 'any', 'packId')
  const why = watch.troubles.length
    ? watch.troubles.map((t) => t.id).join(' ')
    : watch.waitingLong
      ? `waiting ${watch.waitingLong}`
      : ''
  const isBroken = watch.troubles.length > 0

  useEffect(() => {
    if (!why || !mayTake) return
    const timer = setTimeout(() => {
      const input = look(planInputNow)
      // A broken plan is mended with as few changes as can be; one that holds is left only for something better.
      ask(isBroken ? { ...input, goals: replanGoals } : input)
    }, SETTLE_MS)
    return () => clearTimeout(timer)
  }, [why, isBroken, mayTake, look, ask])

  return {
    watch,
    plan,
    mayTake,
    ask: () => ask(look(planInputNow)),
    drop,
    fitAround: (keep) => ask(look(planInputNow), keep),
  }
}
