import WebSocket from 'ws'
import * as encoding from 'lib0/encoding'
import * as decoding from 'lib0/decoding'
import { messageYjsSyncStep1, readSyncMessage, writeUpdate } from 'y-protocols/sync'
import * as Y from 'yjs'
import { writeField } from '@/lib/board'
import { FRAME, writeBarrier } from '@/lib/sync/frames'

/** A meeting in the kit, on disk when this resolves: its room can be opened from then on. `cookie` is a manager's. */
export async function makeMeeting(port: number, cookie: string, meetingId: string): Promise<void> {
  const doc = new Y.Doc()
  const ws = new WebSocket(`ws://127.0.0.1:${port}/sync/kit`, { headers: { cookie } })
  await new Promise<void>((resolve, reject) => {
    ws.on('error', reject)
    ws.on('close', (code) => reject(new Error(`The kit’s socket was closed with ${code}`)))
    ws.on('message', (data: Buffer) => {
      const d = decoding.createDecoder(data)
      const type = decoding.readVarUint(d)
      if (type === FRAME.barrier) return resolve()
      if (type !== FRAME.sync || decoding.peekVarUint(d) !== messageYjsSyncStep1) return
      const answer = message((e) => void readSyncMessage(d, e, doc, null))
      ws.send(answer)
      doc.once('update', (update: Uint8Array) => ws.send(message((e) => writeUpdate(e, update))))
      writeField(doc, 'meetings', meetingId, 'name', meetingId)
      ws.send(writeBarrier({ epoch: 1, n: 1 }))
    })
  })
  ws.removeAllListeners('close')
  ws.terminate()
  doc.destroy()
}

function message(write: (e: encoding.Encoder) => void): Uint8Array {
  const e = encoding.createEncoder()
  encoding.writeVarUint(e, FRAME.sync)
  write(e)
  return encoding.toUint8Array(e)
}
