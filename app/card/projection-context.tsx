'use client'
import { createContext, useContext, useEffect, useMemo, useState, type ReactNode } from 'react'
import type { CardProjections } from '@/lib/card'
import type { Desk } from '@/app/threads/desk'
import { startThread } from '@/app/threads/start-thread'
import { threadTrouble } from '@/app/threads/thread-trouble'
import { useAsked, useDesk } from '@/app/threads/use-desk'
import { useServerClock } from '@/app/sync'
import { atNextTurn } from '@/app/ui/ticks'
import { lapState, type LapState } from './lap-state'
import { OverviewDesk } from './overview-desk'
import type { ProjectionTasks } from './projection-messages'

interface Desks {
  desk: Desk<ProjectionTasks>
  overview: OverviewDesk
}
/** So many grounds are remembered; a day's cards and their trials fit. */
const MEMORY = 120
const DeskContext = createContext<Desks | null>(null)

/** One simulator thread for all cards of the screens below; the overview of cards has a thread of its own. */
export function ProjectionRoot({ children }: { children: ReactNode }) {
  const clock = useServerClock()
  const desk = useDesk<ProjectionTasks>('projection', {
    words: (gone) => threadTrouble('simulator', gone),
    remembers: MEMORY,
  })
  const [overview] = useState(
    () =>
      new OverviewDesk(
        () => startThread('overview'),
        (draw) => atNextTurn(clock, 1000, draw),
      ),
  )
  const desks = useMemo(() => ({ desk, overview }), [desk, overview])
  return <DeskContext.Provider value={desks}>{children}</DeskContext.Provider>
}

/** @throws outside `ProjectionRoot` */
function useDesks(): Desks {
  const desks = useContext(DeskContext)
  if (!desks) throw new Error('Projections need ProjectionRoot above them')
  return desks
}

export const useOverviewDesk = (): OverviewDesk => useDesks().overview

/** The simulator's part of a card, kept up with its ground. `problem`: this state can't be projected, whatever the ground says. */
export function useLapProjections(slot: string, key: string, problem: string | null = null): LapState {
  const { desk } = useDesks()
  useEffect(() => {
    if (problem !== null) desk.leave(slot)
    else desk.ask(slot, key)
  }, [desk, slot, key, problem])
  const asked = useAsked(desk, slot)
  const { answer } = asked
  const projections = useMemo(
    () => answer && { ...answer, figures: JSON.parse(answer.figures) as CardProjections['figures'] },
    [answer],
  )
  // Staleness follows from the ground in hand, not from what the desk was told a moment later.
  return { projections, ...lapState(asked, key, problem) }
}
