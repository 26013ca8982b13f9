'use client'
import {
  createContext,
  useCallback,
  useContext,
  useEffect,
  useState,
  useSyncExternalStore,
  type ReactNode,
} from 'react'
import { startThread } from '@/app/threads/start-thread'
import { useServerClock } from '@/app/sync'
import { atNextTurn } from '@/app/ui/ticks'
import { OverviewDesk } from './overview-desk'
import { lookAt, ProjectionDesk, type DeskState } from './projection-desk'

interface Desks {
  desk: ProjectionDesk
  overview: OverviewDesk
}
const DeskContext = createContext<Desks | null>(null)

/** One simulator thread for all cards of the screens below; the overview of cards has a thread of its own. */
export function ProjectionRoot({ children }: { children: ReactNode }) {
  const clock = useServerClock()
  const [desks] = useState<Desks>(() => ({
    overview: new OverviewDesk(
      () => startThread('overview'),
      (draw) => atNextTurn(clock, 1000, draw),
    ),
    desk: new ProjectionDesk(() => startThread('projection')),
  }))
  useEffect(() => () => desks.desk.close(), [desks])
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
export function useLapProjections(slot: string, key: string, problem: string | null = null): DeskState {
  const { desk } = useDesks()
  useEffect(() => {
    if (problem !== null) desk.leave(slot)
    else desk.ask(slot, key)
  }, [desk, slot, key, problem])
  const subscribe = useCallback((listener: () => void) => desk.subscribe(slot, listener), [desk, slot])
  const state = () => desk.state(slot)
  // Staleness follows from the ground in hand: an edit that 24 cards rest on costs one rendering, not one more to mark them.
  return lookAt(useSyncExternalStore(subscribe, state, state), key, problem)
}
