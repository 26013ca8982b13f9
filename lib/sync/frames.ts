import * as decoding from 'lib0/decoding'
import * as encoding from 'lib0/encoding'
import type { Rejection, RoomState, SessionState } from './states'

/** Message types on the socket. The first four are the y-websocket protocol's own. */
export const FRAME = {
  sync: 0,
  awareness: 1,
  auth: 2,
  queryAwareness: 3,
  barrier: 100,
  rejection: 101,
  clock: 102,
  roomState: 103,
  session: 104,
  resync: 105,
  generation: 106,
  packed: 107,
} as const

/** In a socket's address: its phone can read frame 107. A client that does not say so gets every frame as it is. */
export const READS_PACKED = { packed: '1' } as const

export interface Barrier {
  /** Counts this client's connections, so that a late answer to an old socket's barrier proves nothing. */
  epoch: number
  /** Counts barriers. */
  n: number
}

/** Times in ms since the epoch; `serverMs` is null in the question and set in the answer. */
export interface ClockProbe {
  clientMs: number
  serverMs: number | null
}

function frame(type: number, write: (e: encoding.Encoder) => void): Uint8Array {
  const e = encoding.createEncoder()
  encoding.writeVarUint(e, type)
  write(e)
  return encoding.toUint8Array(e)
}

export const writeBarrier = (b: Barrier): Uint8Array =>
  frame(FRAME.barrier, (e) => {
    encoding.writeVarUint(e, b.epoch)
    encoding.writeVarUint(e, b.n)
  })
/** @throws when the frame is truncated. */
export const readBarrier = (d: decoding.Decoder): Barrier => ({
  epoch: decoding.readVarUint(d),
  n: decoding.readVarUint(d),
})

export const writeClock = (p: ClockProbe): Uint8Array =>
  frame(FRAME.clock, (e) => {
    encoding.writeFloat64(e, p.clientMs)
    encoding.writeFloat64(e, p.serverMs ?? -1)
  })
/** @throws when the frame is truncated. */
export function readClock(d: decoding.Decoder): ClockProbe {
  const clientMs = decoding.readFloat64(d)
  const serverMs = decoding.readFloat64(d)
  return { clientMs, serverMs: serverMs < 0 ? null : serverMs }
}

const writeJson = (type: number, value: unknown) =>
  frame(type, (e) => encoding.writeVarString(e, JSON.stringify(value)))
const readJson = (d: decoding.Decoder): unknown => JSON.parse(decoding.readVarString(d))

export const writeRejection = (r: Rejection): Uint8Array => writeJson(FRAME.rejection, r)
export const readRejection = (d: decoding.Decoder): Rejection => readJson(d) as Rejection

export const writeRoomState = (s: RoomState): Uint8Array => writeJson(FRAME.roomState, s)
export const readRoomState = (d: decoding.Decoder): RoomState => readJson(d) as RoomState

export const writeSession = (s: SessionState): Uint8Array => writeJson(FRAME.session, s)
export const readSession = (d: decoding.Decoder): SessionState => readJson(d) as SessionState

export const writeResync = (): Uint8Array => frame(FRAME.resync, () => undefined)

/** [S28] Another frame of the server's, in the zlib format (RFC 1950). */
export const writePacked = (deflated: Uint8Array): Uint8Array =>
  frame(FRAME.packed, (e) => encoding.writeVarUint8Array(e, deflated))
/** @throws when the frame is truncated. */
export const readPacked = (d: decoding.Decoder): Uint8Array => decoding.readVarUint8Array(d)

/** [S23] "All that I hold of this room is of this generation." */
export const writeGeneration = (generation: string): Uint8Array =>
  frame(FRAME.generation, (e) => encoding.writeVarString(e, generation))
/** @throws when the frame is truncated. */
export const readGeneration = (d: decoding.Decoder): string => decoding.readVarString(d)
