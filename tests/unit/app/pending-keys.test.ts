import { describe, expect, it } from 'vitest'
import { fieldKey, PendingKeys } from '@/app/sync/pending-keys'

const mine = (token: string) => token.startsWith('me:')
const touched = (...keys: string[]) => {
  const pending = new PendingKeys()
  keys.forEach((key, i) => pending.touch({ key, token: `me:${i + 1}`, base: { was: key } }))
  return pending
}

describe('[S8] the fields that wait', () => {
  it('have a name each, of their document', () => {
    expect(fieldKey('cars', 'rook', 'name')).toBe('cars|rook:name')
  })

  it('keep what stood there before the first edit, and the token of the last', () => {
    const pending = touched('a')
    pending.touch({ key: 'a', token: 'me:2', base: { was: 'later' } })
    expect([pending.size, pending.baseOf('a'), pending.tokenOf('a')]).toEqual([1, { was: 'a' }, 'me:2'])
    expect(pending.all()).toEqual([{ key: 'a', token: 'me:2', base: { was: 'a' } }])
    expect([pending.baseOf('b'), pending.tokenOf('b')]).toEqual([undefined, undefined])
  })

  it('of which nothing is known before stay so, whatever a later edit says', () => {
    const pending = new PendingKeys()
    pending.touch({ key: 'a', token: 'me:1' })
    pending.touch({ key: 'a', token: 'me:2', base: { was: 'later' } })
    expect(pending.baseOf('a')).toBeUndefined()
  })

  it('are settled up to a horizon, and told with their tokens', () => {
    const pending = touched('a', 'b')
    const horizon = pending.horizon
    pending.touch({ key: 'c', token: 'me:3' })
    expect(pending.settle(horizon)).toEqual([
      { key: 'a', token: 'me:1' },
      { key: 'b', token: 'me:2' },
    ])
    expect(pending.keys()).toEqual(['c'])
  })

  it('are dropped when they were refused, and those alone', () => {
    const pending = touched('a', 'b', 'c')
    expect(pending.drop(['c', 'unknown', 'a'])).toEqual([
      { key: 'c', token: 'me:3' },
      { key: 'a', token: 'me:1' },
    ])
    expect(pending.keys()).toEqual(['b'])
  })
})

describe('[S8] what another tab wrote down', () => {
  it('stays while it is written down, under the same token', () => {
    const pending = new PendingKeys()
    const a = { key: 'a', token: 'other:1', base: { was: 1 } }
    pending.adopt([a], mine)
    const horizon = pending.horizon
    pending.adopt([a], mine)
    // The same touch once more is no news: a barrier that covers it does so still.
    expect([pending.horizon, pending.all()]).toEqual([horizon, [a]])
  })

  it('is replaced by its newer touch, which no earlier barrier covers', () => {
    const pending = new PendingKeys()
    pending.adopt([{ key: 'a', token: 'other:1', base: { was: 1 } }], mine)
    const horizon = pending.horizon
    pending.adopt([{ key: 'a', token: 'other:2', base: { was: 2 } }], mine)
    expect(pending.settle(horizon)).toEqual([])
    expect(pending.all()).toEqual([{ key: 'a', token: 'other:2', base: { was: 2 } }])
  })

  it('does not take the place of a touch of one’s own', () => {
    const pending = touched('a')
    pending.adopt([{ key: 'a', token: 'other:1' }], mine)
    expect(pending.tokenOf('a')).toBe('me:1')
  })

  it('goes where it is not written down any more, beside others that are', () => {
    const pending = new PendingKeys()
    const [a, b] = [
      { key: 'a', token: 'other:1' },
      { key: 'b', token: 'other:2' },
    ]
    pending.adopt([a, b], mine)
    pending.adopt([b], mine)
    expect(pending.keys()).toEqual(['b'])
  })
})
