import { afterEach, expect, it, vi } from 'vitest'
import { askAgain, AskError, askServer } from '@/app/files/ask-server'

afterEach(() => vi.unstubAllGlobals())

/** A server that gives these answers, one after the other; null is a network that fails. */
function answers(
  list: readonly ({ status: number; retryAfter?: string } | null)[],
  after: readonly (429 | 0)[] = [429, 0],
) {
  const asked: string[] = []
  const waits: number[] = []
  vi.stubGlobal('fetch', (path: string) => {
    const answer = list[asked.length]
    asked.push(path)
    if (!answer) return Promise.reject(new TypeError('Failed to fetch'))
    const headers: Record<string, string> = answer.retryAfter ? { 'Retry-After': answer.retryAfter } : {}
    return Promise.resolve(Response.json({ received: 5 }, { status: answer.status, headers }))
  })
  const wait = (ms: number) => {
    waits.push(ms)
    return Promise.resolve()
  }
  const sent = askAgain(() => askServer('/piece', new Blob(['x'])), after, wait)
  return { asked, waits, sent }
}

it('[S27] a piece is sent again after a network that failed, and when the server says when', async () => {
  const { asked, waits, sent } = answers([null, null, { status: 429, retryAfter: '7' }, { status: 200 }])
  expect(await sent).toEqual({ received: 5 })
  expect(asked).toHaveLength(4)
  expect(waits).toEqual([1000, 2000, 7000])
})

it('what the server refuses is not asked again, and a network that stays away is told in the end', async () => {
  const refused = answers([{ status: 422 }, { status: 200 }])
  await expect(refused.sent).rejects.toBeInstanceOf(AskError)
  expect(refused.asked).toHaveLength(1)
  const once = answers([null, { status: 200 }], [429])
  await expect(once.sent).rejects.toThrow('does not answer')
  expect(once.asked).toHaveLength(1)
  const away = answers([])
  await expect(away.sent).rejects.toThrow('does not answer')
  expect([away.asked.length, away.waits]).toEqual([6, [1000, 2000, 4000, 8000, 15000]])
})
