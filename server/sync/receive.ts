import * as decoding from 'lib0/decoding'
import * as syncProtocol from 'y-protocols/sync'
import type { Clock } from '@/lib/core/clock'
import { FRAME, readBarrier, readClock, readGeneration, writeClock } from '@/lib/sync/frames'
import type { Room } from './room'
import type { SyncSocket } from './sync-socket'

/** Take in one message of a socket. Whatever it holds, it ends as work for the room, an answer, or a refusal; nothing is thrown. */
export function receive(room: Room, from: SyncSocket, message: Uint8Array, clock: Clock): void {
  if (!from.isOpen) return
  from.silentTicks = 0
  try {
    read(room, from, message, clock)
  } catch {
    room.refuseFrame(from, 'malformed', 'The message could not be read.')
  }
}

/** ms of the server's time per message and byte; what edits, answers and presence take beyond that is charged when it is known. */
const COST = { update: 0.05, byte: 50 / 2 ** 20, presence: 0.05, other: 0.02 }

/** [S25] What a message will about take of the server's time, ms. */
export function costOf(room: Room, message: Uint8Array): number {
  switch (message[0]) {
    case FRAME.sync:
      return COST.update + COST.byte * message.length
    case FRAME.awareness:
      return COST.presence + COST.byte * message.length
    case FRAME.queryAwareness:
      return COST.presence + COST.byte * room.presence.everybody().length
    default:
      return COST.other + COST.byte * message.length
  }
}

function read(room: Room, from: SyncSocket, message: Uint8Array, clock: Clock): void {
  const d = decoding.createDecoder(message)
  const type = decoding.readVarUint(d)
  switch (type) {
    case FRAME.sync:
      return readSync(room, from, d)
    case FRAME.awareness:
      room.presence.receive(from, from.session, decoding.readVarUint8Array(d))
      return room.touch()
    case FRAME.queryAwareness:
      return from.control(room.presence.everybody())
    case FRAME.barrier:
      return room.enqueue({ kind: 'barrier', from, barrier: readBarrier(d) })
    case FRAME.generation:
      return room.hearGeneration(from, readGeneration(d))
    case FRAME.clock:
      return from.control(writeClock({ clientMs: readClock(d).clientMs, serverMs: clock.now() }))
    default:
      return room.refuseFrame(from, 'malformed', 'The server knows no such message.')
  }
}

function readSync(room: Room, from: SyncSocket, d: decoding.Decoder): void {
  const step = decoding.readVarUint(d)
  const body = decoding.readVarUint8Array(d)
  switch (step) {
    case syncProtocol.messageYjsSyncStep1:
      if (body.length > from.limits.vectorBytes)
        return room.refuseFrame(from, 'too-large', 'The question names more writers than this board has.')
      return room.enqueue({ kind: 'question', from, vector: body })
    case syncProtocol.messageYjsSyncStep2:
    case syncProtocol.messageYjsUpdate: {
      const answer = step === syncProtocol.messageYjsSyncStep2
      const { limits } = from
      const most = answer ? limits.answerBytes : limits.frameBytes
      if (body.length > most) {
        room.refuseFrame(
          from,
          'too-large',
          `The edits take ${Math.ceil(body.length / 1024)} KiB at once; ${Math.floor(most / 1024)} KiB are allowed.`,
        )
        if (answer && from.handshake.state === 'unanswered')
          room.enqueue({ kind: 'unstored', from, bytes: body, refused: true })
        return
      }
      return room.enqueue({ kind: 'update', from, bytes: body, answer })
    }
    default:
      return room.refuseFrame(from, 'malformed', 'The server knows no such sync message.')
  }
}
