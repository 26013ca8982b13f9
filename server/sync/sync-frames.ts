import * as encoding from 'lib0/encoding'
import * as syncProtocol from 'y-protocols/sync'
import { FRAME } from '@/lib/sync/frames'

/** An update for everybody. */
export function writeUpdateFrame(update: Uint8Array): Uint8Array {
  const e = encoding.createEncoder()
  encoding.writeVarUint(e, FRAME.sync)
  syncProtocol.writeUpdate(e, update)
  return encoding.toUint8Array(e)
}

/** The answer to a client's question. */
export function writeAnswerFrame(state: Uint8Array): Uint8Array {
  const e = encoding.createEncoder()
  encoding.writeVarUint(e, FRAME.sync)
  encoding.writeVarUint(e, syncProtocol.messageYjsSyncStep2)
  encoding.writeVarUint8Array(e, state)
  return encoding.toUint8Array(e)
}

/** The server's own question: what do you have that I lack? */
export function writeQuestionFrame(vector: Uint8Array): Uint8Array {
  const e = encoding.createEncoder()
  encoding.writeVarUint(e, FRAME.sync)
  encoding.writeVarUint(e, syncProtocol.messageYjsSyncStep1)
  encoding.writeVarUint8Array(e, vector)
  return encoding.toUint8Array(e)
}
