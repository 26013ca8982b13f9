import * as decoding from 'lib0/decoding'
import * as Y from 'yjs'
import type { Role } from '@/lib/core/role'
import { FRAME, readBarrier } from '@/lib/sync/frames'
import { DEFAULT_LIMITS, type Limits } from '@/server/sync/limits'
import { SyncSocket } from '@/server/sync/sync-socket'
import { HandTimers } from './hand-timers'

let count = 0

/** A socket that is handed what it sends, with a line whose backlog the test sets. */
export function handSocket(
  o: { role?: Role; personId?: string; limits?: Partial<Limits>; timers?: HandTimers } = {},
) {
  const { role = 'manager', personId = role } = o
  const line = { buffered: 0, sent: [] as Uint8Array[] }
  const deviceId = `d${++count}`
  const socket = new SyncSocket(
    {
      send: (data) => void line.sent.push(data),
      broadcast: ({ payload }) => void line.sent.push(payload),
      close: () => undefined,
      terminate: () => undefined,
      ping: () => undefined,
      pause: () => undefined,
      resume: () => undefined,
      get bufferedAmount() {
        return line.buffered
      },
    },
    { sessionId: `s${count}`, personId, name: personId, role, deviceId },
    { ...DEFAULT_LIMITS, ...o.limits },
    o.timers ?? new HandTimers(),
  )
  return {
    socket,
    line,
    /** What was sent since the last call, by type; a sync frame's with its own type, a barrier with its number. */
    took: () => line.sent.splice(0).map(frameName),
  }
}
export type HandSocket = ReturnType<typeof handSocket>

function frameName(data: Uint8Array): string {
  const d = decoding.createDecoder(data)
  const type = decoding.readVarUint(d)
  const [name] = Object.entries(FRAME).find(([, n]) => n === type) ?? [`${type}`]
  if (type === FRAME.sync) return `sync${decoding.readVarUint(d)}`
  return type === FRAME.barrier ? `barrier ${readBarrier(d).n}` : name
}

/** The Yjs update within a sync frame (an answer or an update). */
export function updateIn(data: Uint8Array): Uint8Array {
  const d = decoding.createDecoder(data)
  decoding.readVarUint(d)
  decoding.readVarUint(d)
  return decoding.readVarUint8Array(d)
}

/** How many parts an update holds. */
export const partsOf = (update: Uint8Array): number => Y.decodeUpdate(update).structs.length
