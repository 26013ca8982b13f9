import { deflateSync } from 'node:zlib'
import { describe, expect, it, vi } from 'vitest'
import { unpackInOrder } from '@/app/sync/unpack-in-order'
import { writeBarrier, writePacked } from '@/lib/sync/frames'

const buffer = (bytes: Uint8Array): ArrayBuffer => Uint8Array.from(bytes).buffer

/** A line whose frames are heard, each by its size and first byte; a hearer that comes once the line is being unpacked, as the provider does. */
function line() {
  const target = Object.assign(new EventTarget(), {
    readyState: 1,
    close: () => void (target.readyState = 2),
  })
  unpackInOrder(target)
  const heard: string[] = []
  target.addEventListener('message', (event) => {
    const { data } = event as MessageEvent<ArrayBuffer>
    heard.push(`${data.byteLength} of ${new Uint8Array(data)[0] ?? -1}`)
  })
  const receive = (bytes: Uint8Array) =>
    void target.dispatchEvent(new MessageEvent('message', { data: buffer(bytes) }))
  return { target, heard, receive }
}

const large = (n: number) => new Uint8Array(n)
const packed = (n: number) => writePacked(deflateSync(large(n)))
const barrier = writeBarrier({ epoch: 1, n: 7 })
const BARRIER = `${barrier.length} of 100`

describe('[S28] a line that is unpacked', () => {
  it('passes on at once what is not packed', () => {
    const { heard, receive } = line()
    receive(barrier)
    receive(large(5))
    expect(heard).toEqual([BARRIER, '5 of 0'])
  })

  it('is heard in the order in which it came, each frame once, whatever takes longer to unpack', async () => {
    const { heard, receive } = line()
    receive(packed(3_000_000))
    receive(barrier)
    receive(packed(10))
    receive(large(4))
    expect(heard).toEqual([])
    await vi.waitFor(() => expect(heard).toHaveLength(4))
    expect(heard).toEqual(['3000000 of 0', BARRIER, '10 of 0', '4 of 0'])
    receive(barrier)
    expect(heard).toHaveLength(5)
  })

  it('that ends meanwhile is not heard any more, and a frame that can’t be unpacked ends it', async () => {
    const ended = line()
    ended.receive(packed(1_000_000))
    ended.receive(barrier)
    ended.target.readyState = 3
    const { heard, receive, target } = line()
    receive(writePacked(deflateSync(large(1_000_000)).subarray(0, 50)))
    receive(barrier)
    await vi.waitFor(() => expect(target.readyState).toBe(2))
    // Nor does one whose own bytes are cut off, or one that comes after it and waits, go unheard of as an error of nobody's.
    const cut = line()
    cut.receive(packed(10_000).subarray(0, 2))
    cut.receive(writePacked(Uint8Array.of(1, 2, 3)))
    cut.receive(barrier)
    await vi.waitFor(() => expect(cut.target.readyState).toBe(2))
    expect(cut.heard).toEqual([])
    // Long enough for whatever is still on its way.
    const later = line()
    later.receive(packed(3_000_000))
    await vi.waitFor(() => expect(later.heard).toHaveLength(1))
    expect([...ended.heard, ...heard]).toEqual([])
  })
})
