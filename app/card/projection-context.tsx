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
import { ProjectionMemo, type ProjectionBasis } from '@/lib/card'
import { ProjectionDesk, type DeskState, type ProjectionThread } from './projection-desk'

interface Desks {
  desk: ProjectionDesk
  memo: ProjectionMemo
}
const DeskContext = createContext<Desks | null>(null)

/** One simulator thread and one memory for all cards of the screens below. */
export function ProjectionRoot({ children }: { children: ReactNode }) {
  const [desks] = useState<Desks>(() => ({
    memo: new ProjectionMemo(),
    desk: new ProjectionDesk(
      () =>
        new Worker(new URL('./projection-worker.ts', import.meta.url), {
          type: 'module',
        }) as unknown as ProjectionThread,
    ),
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

export const useProjectionMemo = (): ProjectionMemo => useDesks().memo

/** The simulator's part of a card, kept up with its ground. `problem`: this state can't be projected, whatever the ground says. */
export function useLapProjections(
  slot: string,
  ground: { key: string; basis: ProjectionBasis },
  problem: string | null = null,
): DeskState {
  const { desk } = useDesks()
  const { key, basis } = ground
  useEffect(() => {
    if (problem !== null) desk.spoil(slot, problem)
    else desk.ask(slot, key, basis)
  }, [desk, slot, key, basis, problem])
  const subscribe = useCallback((listener: () => void) => desk.subscribe(slot, listener), [desk, slot])
  const state = () => desk.state(slot)
  return useSyncExternalStore(subscribe, state, state)
}
