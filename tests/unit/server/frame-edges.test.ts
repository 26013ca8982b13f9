import { PassThrough } from 'node:stream'
import { expect, it } from 'vitest'
import * as ws from 'ws'
import { closeFrame, FrameEdges } from '@/server/peers/frame-edges'

const { Sender, Receiver } = ws as unknown as {
  Sender: { frame(data: Buffer, o: { fin: boolean; opcode: number; mask: boolean }): Buffer[] }
  Receiver: new (o: object) => NodeJS.WritableStream
}
const frame = (size: number) =>
  Buffer.concat(Sender.frame(Buffer.alloc(size, 7), { fin: true, opcode: 2, mask: false }))

it('[P3] a place between two frames is found however the bytes are cut', () => {
  const frames = [0, 1, 125, 126, 300, 65_535, 65_536, 70_000].map(frame)
  const bytes = Buffer.concat(frames)
  const ends = new Set<number>()
  frames.reduce((at, f) => {
    ends.add(at + f.length)
    return at + f.length
  }, 0)
  for (const step of [1, 2, 3, 1000, bytes.length]) {
    const edges = new FrameEdges()
    for (let at = 0; at < bytes.length; at += step) {
      edges.pass(bytes.subarray(at, at + step))
      const read = Math.min(at + step, bytes.length)
      if (edges.isBetween !== ends.has(read)) throw new Error(`wrong after ${read} bytes, ${step} at a time`)
    }
  }
})

it('[P3] a client understands the frame that ends its connection', async () => {
  const receiver = new Receiver({ isServer: false })
  const code = new Promise((resolve) => receiver.once('conclude', resolve))
  const line = new PassThrough()
  line.pipe(receiver)
  line.write(closeFrame(1001))
  expect(await code).toBe(1001)
})
