'use client'
import { useEffect, useState } from 'react'
import { BoardReading, type BoardDocs, type BoardView } from '@/lib/board'
import { formatRoomName } from '@/lib/sync/room-name'
import { fetchFresh, GONE } from './fetch-fresh'
import type { ProviderFactory } from './room-provider'
import { stockProvider } from './stock-provider'
import type { SyncClient } from './sync-client'
import { useSyncClient } from './sync-context'

/** Another meeting as far as it could be read. */
export interface Beside {
  /** Null until it is here. It stands still: what changes there from then on is not told. */
  view: BoardView | null
  /** `phone`: as this phone last had it. */
  from: 'server' | 'phone' | null
  /** This phone has nothing of it; null while that is not known. */
  isMissing: boolean | null
  /** The server does not have it. */
  isGone: boolean
}
const NOTHING: Beside = { view: null, from: null, isMissing: null, isGone: false }

/**
 * Read another meeting while the one on screen stays open: at once what this phone has of it, then what the server has, for which it waits as
 * long as nobody calls the function that it returns. Nothing can be edited there.
 */
export function readBeside(
  client: Pick<SyncClient, 'editIn' | 'kitBoard'>,
  createProvider: ProviderFactory,
  meetingId: string,
  tell: (beside: Beside) => void,
): () => void {
  const room = formatRoomName({ kind: 'meeting', meetingId })
  let now = NOTHING
  let isOver = false
  const say = (part: Partial<Beside>) => {
    now = { ...now, ...part }
    if (!isOver) tell(now)
  }
  void client
    .editIn(room, ({ docs }) => (docs.meeting?.store.clients.size ? viewOf(docs) : null))
    .then((view) =>
      say({ isMissing: view === null, ...(view && now.from === null && { view, from: 'phone' }) }),
    )
  const fetching = fetchFresh(
    createProvider,
    room,
    () => undefined,
    () => false,
  )
  void fetching.done.then((fresh) => {
    const kit = client.kitBoard?.kit.doc
    if (fresh === GONE) say({ isGone: true })
    else if (fresh && kit) say({ view: viewOf({ kit, meeting: fresh.doc }), from: 'server' })
  })
  return () => {
    isOver = true
    fetching.stop()
  }
}

function viewOf(docs: BoardDocs): BoardView {
  const reading = new BoardReading(docs)
  const view = reading.view()
  reading.close()
  return view
}

/** The same for a screen. @param meetingId null reads nothing */
export function useBeside(meetingId: string | null): Beside {
  const client = useSyncClient()
  const [read, setRead] = useState<{ meetingId: string; beside: Beside } | null>(null)
  useEffect(() => {
    if (!client || meetingId === null) return
    return readBeside(client, stockProvider(location.origin), meetingId, (beside) =>
      setRead({ meetingId, beside }),
    )
  }, [client, meetingId])
  return read?.meetingId === meetingId ? read.beside : NOTHING
}
