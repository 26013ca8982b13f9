import { describe, expect, it } from 'vitest'
import { ROLES } from '@/lib/core/role'
import { isAt, meetingIdOf, PLACES, placesFor, THUMB_PLACES, TOP_PLACES } from '@/app/ui/navigation'

describe('places', () => {
  it('every role finds the places under its thumb', () => {
    for (const role of ROLES) {
      const ids = placesFor(role).map((p) => p.id)
      for (const id of THUMB_PLACES[role]) expect(ids, `${role} ${id}`).toContain(id)
      expect(THUMB_PLACES[role]).toHaveLength(4)
    }
  })
  it('ids are unique and the top names known ones', () => {
    const ids = PLACES.map((p) => p.id)
    expect(new Set(ids).size).toBe(ids.length)
    for (const id of TOP_PLACES) expect(ids).toContain(id)
  })
  it.each([
    ['/board/spring/order', 'spring'],
    ['/board/spring', 'spring'],
    ['/board/new', null],
    ['/kit', null],
    ['/board/a%20b/order', null],
  ])('%s is in meeting %s', (path, id) => expect(meetingIdOf(path)).toBe(id))

  it('a page below a place counts as that place, a longer name does not', () => {
    const cards = PLACES.find((p) => p.id === 'cards')!
    expect(isAt(cards, '/board/spring/card/rook', 'spring')).toBe(true)
    expect(isAt(cards, '/board/spring/cardigan', 'spring')).toBe(false)
    const home = PLACES.find((p) => p.id === 'home')!
    expect(isAt(home, '/', '')).toBe(true)
    expect(isAt(home, '/kit', '')).toBe(false)
  })
})
