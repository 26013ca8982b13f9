import type { EventEmitter } from 'node:events'
import fc from '../../support/fast-check'
import { expect, it } from 'vitest'
import * as ws from 'ws'
import { BroadcastMessage } from '@/server/sync/broadcast-message'

/** The package exports it without typing it. */
const { Receiver } = ws as unknown as {
  Receiver: new (options: { isServer: boolean; maxPayload: number }) => EventEmitter & {
    write(bytes: Uint8Array): void
  }
}

// The examples of RFC 6455, section 5.7.
it('is framed as the standard’s examples are: 256 bytes and 64 KiB of a binary message', () => {
  const of = (bytes: number) => new BroadcastMessage(new Uint8Array(bytes).fill(7)).onTheLine
  expect([...of(256).subarray(0, 4)]).toEqual([0x82, 0x7e, 0x01, 0x00])
  expect(of(256)).toHaveLength(4 + 256)
  expect([...of(65536).subarray(0, 10)]).toEqual([0x82, 0x7f, 0, 0, 0, 0, 0, 1, 0, 0])
  expect(of(65536)).toHaveLength(10 + 65536)
})

it('the ws package’s own receiver reads back what was sent, at every length of the length', async () => {
  const read = (line: Buffer) =>
    new Promise<[Buffer, boolean]>((resolve, reject) => {
      const receiver = new Receiver({ isServer: false, maxPayload: 0 })
      receiver.on('message', (data: Buffer, isBinary: boolean) => resolve([data, isBinary]))
      receiver.on('error', reject)
      receiver.write(line)
    })
  const lengths = fc.oneof(fc.constantFrom(0, 1, 125, 126, 65535, 65536, 70_000), fc.nat(300))
  await fc.assert(
    fc.asyncProperty(lengths, fc.nat(255), async (length, fill) => {
      const payload = new Uint8Array(length).fill(fill)
      const [data, isBinary] = await read(new BroadcastMessage(payload).onTheLine)
      expect(isBinary).toBe(true)
      expect(data.equals(payload)).toBe(true)
    }),
    { numRuns: 60 },
  )
})

it('is made once', () => {
  const message = new BroadcastMessage(Uint8Array.of(1))
  expect(message.onTheLine).toBe(message.onTheLine)
})
