import * as bc from 'lib0/broadcastchannel'
import type { Doorbell } from './idb-store'

/** Rings in the other tabs through BroadcastChannel (or, where that is missing, storage events): no secure context is needed. */
export function tabDoorbell(): Doorbell {
  const me = {}
  const disposers = new Set<() => void>()
  return {
    ring: (room) => bc.publish(`stagecall:${room}`, '', me),
    onRing(room, listener) {
      const hear = (_data: unknown, origin: unknown) => {
        if (origin !== me) listener()
      }
      bc.subscribe(`stagecall:${room}`, hear)
      const dispose = () => {
        bc.unsubscribe(`stagecall:${room}`, hear)
        disposers.delete(dispose)
      }
      disposers.add(dispose)
      return dispose
    },
    close: () => disposers.forEach((d) => d()),
  }
}
