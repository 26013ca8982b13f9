import * as Y from 'yjs'
import { CLOSE } from '@/lib/sync/close-codes'
import type { SessionState } from '@/lib/sync/states'
import { listenToFrames } from './room-frames'
import type { ProviderFactory } from './room-provider'
import { giveUpSlowOpening } from './slow-opening'

export interface FreshRoom {
  doc: Y.Doc
  generation: string
}

/** The board does not have this meeting. */
export const GONE = 'gone'

/**
 * The server's document of a room in a document that holds nothing else, over a socket of its own. Waits for as long as the server can't be
 * reached; null when it was stopped, or when this phone may no longer use the board.
 *
 * @param isExpected whether this phone has reason to believe that a meeting that the server does not know will be there yet
 */
export function fetchFresh(
  createProvider: ProviderFactory,
  room: string,
  onSession: (session: SessionState) => void,
  isExpected: () => boolean = () => true,
): { done: Promise<FreshRoom | typeof GONE | null>; stop: () => void } {
  const doc = new Y.Doc()
  const provider = createProvider(room, doc)
  const timers = new Set<ReturnType<typeof setTimeout>>()
  let end: (fresh: FreshRoom | typeof GONE | null) => void = () => undefined
  const done = new Promise<FreshRoom | typeof GONE | null>((resolve) => {
    end = (fresh) => {
      resolve(fresh)
      timers.forEach(clearTimeout)
      // Not within the message that brought it: the socket is still at work on it.
      queueMicrotask(() => provider.destroy())
    }
  })
  let generation: string | null = null
  provider.awareness.setLocalState(null)
  const nothing = () => undefined
  listenToFrames(provider, {
    mayTalk: () => true,
    step1Answered: nothing,
    barrier: nothing,
    rejection: nothing,
    clock: nothing,
    roomState: nothing,
    session: (session) => {
      if (session.state === 'active') generation = session.board?.generation ?? null
      onSession(session)
    },
  })
  provider.on('status', ({ status }) => {
    if (status !== 'connecting') return
    giveUpSlowOpening(
      provider,
      (ms, run) => void timers.add(setTimeout(run, ms)),
      () => {
        provider.disconnect()
        provider.connect()
      },
    )
  })
  provider.on('sync', (synced) => {
    if (synced && generation !== null) end({ doc, generation })
  })
  provider.on('closed', ({ reason }) => {
    onSession({ state: 'revoked', reason: reason || 'This phone was removed from the board.' })
    end(null)
  })
  provider.on('connection-close', (e) => {
    if (e?.code === CLOSE.noMeeting && !isExpected()) end(GONE)
  })
  provider.connect()
  return { done, stop: () => end(null) }
}
