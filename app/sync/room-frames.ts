import type { Decoder } from 'lib0/decoding'
import * as decoding from 'lib0/decoding'
import { messageYjsSyncStep1 } from 'y-protocols/sync'
import {
  FRAME,
  readBarrier,
  readClock,
  readRejection,
  readRoomState,
  readSession,
  type Barrier,
  type ClockProbe,
} from '@/lib/sync/frames'
import type { Rejection, RoomState, SessionState } from '@/lib/sync/states'
import type { FrameHandler, RoomProvider } from './room-provider'

export interface FrameListeners {
  /** [S23] False: what this phone holds must not meet what the server has, and its questions stay unanswered. */
  mayTalk(): boolean
  /** The server asked what we have, and the stock handler's answer has left on the same socket. */
  step1Answered(): void
  barrier(barrier: Barrier): void
  rejection(rejection: Rejection): void
  clock(probe: ClockProbe): void
  roomState(state: RoomState): void
  session(session: SessionState): void
}

/** Teach a provider our frames, and learn from it when the server's SyncStep1 was answered. */
export function listenToFrames(provider: RoomProvider, listeners: FrameListeners): void {
  const handlers = provider.messageHandlers
  const stockSync = handlers[FRAME.sync]
  handlers[FRAME.sync] = (encoder, decoder, p, emitSynced, type) => {
    if (!listeners.mayTalk()) return
    const isStep1 = decoding.peekVarUint(decoder) === messageYjsSyncStep1
    const socket = provider.ws
    stockSync?.(encoder, decoder, p, emitSynced, type)
    // The provider sends the answer when this handler has returned: a microtask later it is on its way.
    if (isStep1 && emitSynced)
      queueMicrotask(() => {
        if (socket && provider.ws === socket) listeners.step1Answered()
      })
  }
  const on = <T>(type: number, read: (d: Decoder) => T, hear: (value: T) => void) => {
    const handler: FrameHandler = (_encoder, decoder) => hear(read(decoder))
    handlers[type] = handler
  }
  on(FRAME.barrier, readBarrier, listeners.barrier)
  on(FRAME.rejection, readRejection, listeners.rejection)
  on(FRAME.clock, readClock, listeners.clock)
  on(FRAME.roomState, readRoomState, listeners.roomState)
  on(FRAME.session, readSession, listeners.session)
  // One merged state follows as ordinary sync messages; there is nothing to do but to know the frame.
  handlers[FRAME.resync] = () => undefined
}
