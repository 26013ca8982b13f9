'use client'
import { createContext, useContext, useEffect, useState, useSyncExternalStore, type ReactNode } from 'react'
import { TURN_MS } from '@/lib/derived'
import { systemClock } from '@/lib/core/clock'
import { ClockContext } from '@/app/ui/clock-context'
import { meetingIdOf } from '@/app/ui/navigation'
import { everyInterval } from '@/app/ui/ticks'
import type { ClientBoard } from './client-board'
import { askSession } from './ask-session'
import { IdbStore } from './idb-store'
import { localJournal } from './left-journal'
import { stockProvider } from './stock-provider'
import { SyncClient } from './sync-client'
import type { SyncSnapshot } from './sync-snapshot'
import { tabDoorbell } from './tab-doorbell'
import { watchPage } from './watch-page'

const SyncContext = createContext<SyncClient | null>(null)
const BoardContext = createContext<ClientBoard | null>(null)

const NOT_STARTED: SyncSnapshot = {
  membership: { state: 'starting' },
  kit: null,
  meeting: null,
  meetingId: null,
  generation: null,
  store: { state: 'opening' },
  drafts: [],
  pending: 0,
  online: false,
  fetching: false,
  outdated: null,
}
const notStarted = () => NOT_STARTED
const neverChanges = () => () => undefined

/** Everything below works on this board, whose time passes while it is on screen. */
function OnBoard({ board, children }: { board: ClientBoard | null; children: ReactNode }) {
  const clock = useContext(SyncContext)?.clock
  useEffect(() => {
    if (!board || !clock) return
    board.graph.refresh()
    return everyInterval(clock, TURN_MS, () => board.graph.refresh())
  }, [board, clock])
  return <BoardContext.Provider value={board}>{children}</BoardContext.Provider>
}

/**
 * Starts the browser's half of the board. Everything is made in the effect and closed by its clean-up, so that a double mount makes two whole
 * lives one after the other instead of two sockets at once.
 */
export function SyncRoot({ build, children }: { build: string; children: ReactNode }) {
  const [client, setClient] = useState<SyncClient | null>(null)
  useEffect(() => {
    const store = new IdbStore({ doorbell: tabDoorbell(), journal: localJournal(() => localStorage) })
    const made = new SyncClient({ store, createProvider: stockProvider(location.origin), askSession, build })
    setClient(made)
    void made.start()
    // The page's own meeting need not wait for the kit, which lists it, to be drawn.
    const meetingId = meetingIdOf(location.pathname)
    if (meetingId !== null) void made.openMeeting(meetingId)
    const stopWatching = watchPage(made)
    return () => {
      stopWatching()
      setClient(null)
      made.close()
    }
  }, [build])
  const kitBoard = () => (client?.snapshot().kit ? client.kitBoard : null)
  const board = useSyncExternalStore(client?.subscribe ?? neverChanges, kitBoard, () => null)
  return (
    <SyncContext.Provider value={client}>
      <ClockContext.Provider value={client?.clock ?? systemClock}>
        <OnBoard board={board}>{children}</OnBoard>
      </ClockContext.Provider>
    </SyncContext.Provider>
  )
}

/**
 * Opens a meeting beside the kit for everything below it. `waiting` shows until its document is loaded: never the board of a meeting that was open
 * before, on which an act of the new screen would be lost.
 */
export function MeetingRoot({
  meetingId,
  waiting,
  children,
}: {
  meetingId: string
  waiting: ReactNode
  children: ReactNode
}) {
  const client = useContext(SyncContext)
  const isMember = useSyncPart((s) => s.membership.state === 'member')
  const board = useSyncPart((s) =>
    isMember && s.meetingId === meetingId ? (client?.meetingBoard ?? null) : null,
  )
  useEffect(() => {
    if (!client) return
    void client.openMeeting(meetingId)
    return () => client.closeMeeting(meetingId)
  }, [client, meetingId])
  if (!board) return waiting
  return <OnBoard board={board}>{children}</OnBoard>
}

/** Null before the client has started. */
export const useSyncClient = (): SyncClient | null => useContext(SyncContext)

/**
 * One part of the snapshot: renders only when that part changed. The snapshot changes several times with every edit, if only because the device's
 * store writes. `select` must give the same value (by identity) while nothing of it changed.
 */
export function useSyncPart<T>(select: (snapshot: SyncSnapshot) => T): T {
  const client = useContext(SyncContext)
  return useSyncExternalStore(
    client?.subscribe ?? neverChanges,
    () => select((client?.snapshot ?? notStarted)()),
    () => select(NOT_STARTED),
  )
}

/** Everything about connection, session and unsaved work; the same object until something of it changed. */
export function useSyncSnapshot(): SyncSnapshot {
  const client = useContext(SyncContext)
  return useSyncExternalStore(client?.subscribe ?? neverChanges, client?.snapshot ?? notStarted, notStarted)
}

/** For what stands around the pages (header, keyboard): the board of the page on screen, which is the meeting's wherever one is open. */
export function useShownBoard(): ClientBoard | null {
  const client = useContext(SyncContext)
  return useSyncPart(({ membership, kit, meeting }) =>
    !client || !kit || membership.state !== 'member'
      ? null
      : ((meeting && client.meetingBoard) ?? client.kitBoard),
  )
}

/** Everything below works on the board of the page on screen; nothing is rendered while there is none. */
export function ShownBoard({ children }: { children: ReactNode }) {
  const board = useShownBoard()
  return board && <OnBoard board={board}>{children}</OnBoard>
}

/** Null while no board is open. Screens below `MeetingRoot` or the session gate use `useClientBoard`. */
export const useOpenBoard = (): ClientBoard | null => useContext(BoardContext)

/** @throws where no board is open. */
export function useClientBoard(): ClientBoard {
  const board = useContext(BoardContext)
  if (!board) throw new Error('This screen needs an open board above it')
  return board
}
