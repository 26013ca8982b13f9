import 'fake-indexeddb/auto'
import { afterEach, describe, expect, it } from 'vitest'
import { refuse } from '@/lib/core/result'
import { PhotoShelf, type Line, type Outgoing, type Sent } from '@/app/photos/photo-shelf'

const REFUSED = refuse('Photo', '', 'no', 'no').error
const picture = (hash: string) => ({ hash, type: 'image/jpeg', data: new Uint8Array([1, 2, 3]).buffer })
const whose = { meetingId: 'm', runId: 'r', personId: 'rook' }

let count = 0
const open: PhotoShelf[] = []
function shelfWith(over: Partial<Line> = {}, name = `shelf-${count++}`) {
  const sent: Outgoing[] = []
  const line: Line = {
    send: (o) => {
      sent.push(o)
      return Promise.resolve({ state: 'stored' })
    },
    fetch: () => Promise.resolve(null),
    ...over,
  }
  let now = 0
  const shelf = new PhotoShelf(line, () => ++now, name)
  open.push(shelf)
  return { shelf, sent, name }
}
afterEach(() => Promise.all(open.splice(0).map((s) => s.close())))

describe('photos on a phone', () => {
  it('wait for the line and are sent once, oldest first', async () => {
    let up = false
    const tried: string[] = []
    const { shelf } = shelfWith({
      send: ({ hash }): Promise<Sent> => {
        tried.push(hash)
        return Promise.resolve({ state: up ? 'stored' : 'later' })
      },
    })
    await shelf.add(whose, [picture('a')])
    await shelf.add(whose, [picture('b')])
    await shelf.flush('rook', 'one')
    expect(tried).toEqual(['a'])
    up = true
    await shelf.flush('rook', 'one')
    await shelf.flush('rook', 'one')
    expect(tried).toEqual(['a', 'a', 'b'])
    expect((await shelf.outgoing()).map((o) => o.sent)).toEqual(['one', 'one'])
  })

  it('outlive the page that took them', async () => {
    const first = shelfWith({ send: () => Promise.resolve({ state: 'later' }) })
    await first.shelf.add(whose, [picture('a')])
    await first.shelf.close()
    const second = shelfWith({}, first.name)
    await second.shelf.flush('rook', 'one')
    expect(second.sent.map((o) => o.hash)).toEqual(['a'])
  })

  it('are sent by nobody but who took them', async () => {
    const { shelf, sent } = shelfWith()
    await shelf.add(whose, [picture('a')])
    await shelf.flush('dara', 'one')
    expect(sent).toEqual([])
    await shelf.flush('rook', 'one')
    expect(sent).toHaveLength(1)
  })

  it('[S23] go to a restored board again, which may not have them', async () => {
    const { shelf, sent } = shelfWith()
    await shelf.add(whose, [picture('a')])
    await shelf.flush('rook', 'one')
    await shelf.flush('rook', 'two')
    expect(sent).toHaveLength(2)
  })

  it('that are refused say why, hold nothing up, and are not sent again', async () => {
    const tried: string[] = []
    const { shelf } = shelfWith({
      send: ({ hash }): Promise<Sent> => {
        tried.push(hash)
        return Promise.resolve(hash === 'a' ? { state: 'refused', why: REFUSED } : { state: 'stored' })
      },
    })
    await shelf.add(whose, [picture('a'), picture('b')])
    await shelf.flush('rook', 'one')
    await shelf.flush('rook', 'one')
    expect(tried).toEqual(['a', 'b'])
    expect((await shelf.outgoing()).map((o) => o.refused)).toEqual([REFUSED, null])
  })

  it('taken while others are being sent go with them', async () => {
    const sent: string[] = []
    const late: { add: (() => Promise<void>) | null } = { add: null }
    const { shelf } = shelfWith({
      send: async ({ hash }): Promise<Sent> => {
        sent.push(hash)
        const add = late.add
        late.add = null
        await add?.()
        return { state: 'stored' }
      },
    })
    await shelf.add(whose, [picture('a')])
    late.add = async () => {
      await shelf.add(whose, [picture('b')])
      void shelf.flush('rook', 'one')
    }
    await shelf.flush('rook', 'one')
    expect(sent).toEqual(['a', 'b'])
  })

  it('are shown from the phone, and fetched ones a second time without the line', async () => {
    let up = true
    const { shelf } = shelfWith({
      fetch: () => Promise.resolve(up ? new Blob(['xyz'], { type: 'image/webp' }) : null),
    })
    await shelf.add(whose, [picture('own')])
    expect(await (await shelf.picture('m', 'own'))?.arrayBuffer()).toEqual(new Uint8Array([1, 2, 3]).buffer)
    expect(await (await shelf.picture('m', 'theirs'))?.text()).toBe('xyz')
    up = false
    await expect
      .poll(async () => (await shelf.picture('m', 'theirs'))?.type, { interval: 5 })
      .toBe('image/webp')
    expect(await shelf.picture('m', 'unknown')).toBeNull()
  })

  it('are gone when the board did not take them', async () => {
    const { shelf, sent } = shelfWith()
    await shelf.add(whose, [picture('a')])
    await shelf.drop('m', ['a'])
    await shelf.flush('rook', 'one')
    expect(sent).toEqual([])
    expect(await shelf.picture('m', 'a')).toBeNull()
  })

  it('tell who listens, and nobody who has stopped', async () => {
    const { shelf } = shelfWith()
    let heard = 0
    const stop = shelf.subscribe(() => heard++)
    await shelf.add(whose, [picture('a')])
    await shelf.flush('rook', 'one')
    expect(heard).toBe(2)
    stop()
    await shelf.drop('m', ['a'])
    expect(heard).toBe(2)
  })
})
