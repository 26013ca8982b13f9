import { deflateRawSync } from 'node:zlib'
import * as decoding from 'lib0/decoding'
import * as encoding from 'lib0/encoding'
import { describe, expect, it } from 'vitest'
import { listenToFrames, type FrameListeners } from '@/app/sync/room-frames'
import type { RoomProvider } from '@/app/sync/room-provider'
import { FRAME, writeBarrier, writePacked } from '@/lib/sync/frames'

/** A provider's handlers, the stock one for documents noting what came. */
function listening() {
  const heard: string[] = []
  const handlers: RoomProvider['messageHandlers'] = []
  handlers[FRAME.sync] = (_encoder, decoder, _provider, emitSynced) =>
    void heard.push(`document ${decoding.readVarString(decoder).length} ${String(emitSynced)}`)
  const listeners: FrameListeners = {
    mayTalk: () => true,
    step1Answered: () => undefined,
    barrier: ({ n }) => void heard.push(`barrier ${n}`),
    rejection: () => undefined,
    clock: () => undefined,
    roomState: () => undefined,
    session: () => undefined,
  }
  listenToFrames({ messageHandlers: handlers, ws: null } as unknown as RoomProvider, listeners)
  const receive = (frame: Uint8Array) => {
    const decoder = decoding.createDecoder(frame)
    const type = decoding.readVarUint(decoder)
    handlers[type]?.(encoding.createEncoder(), decoder, undefined as never, true, type)
  }
  return { heard, receive }
}

function documentFrame(text: string): Uint8Array {
  const e = encoding.createEncoder()
  encoding.writeVarUint(e, FRAME.sync)
  encoding.writeVarString(e, text)
  return encoding.toUint8Array(e)
}

describe('[S28] a packed frame', () => {
  it('is heard in its place, before what comes after it', () => {
    const { heard, receive } = listening()
    receive(writePacked(deflateRawSync(documentFrame('x'.repeat(100_000)))))
    receive(writeBarrier({ epoch: 1, n: 7 }))
    expect(heard).toEqual(['document 100000 true', 'barrier 7'])
  })

  it('within another one is not heard, and one that is cut off is an error', () => {
    const { heard, receive } = listening()
    const packed = writePacked(deflateRawSync(documentFrame('text')))
    receive(writePacked(deflateRawSync(packed)))
    expect(heard).toEqual([])
    const broken = deflateRawSync(documentFrame('text'.repeat(1000)))
    expect(() => receive(writePacked(broken.subarray(0, 10)))).toThrow()
  })
})
