import fc from '../../support/fast-check'
import { describe, expect, it } from 'vitest'
import { AttemptThrottle, THROTTLE } from '@/lib/join/attempt-throttle'
import { checkInvitation, invitationState, type Invitation } from '@/lib/join/invitation'
import {
  CODE_ALPHABET,
  CODE_LENGTH,
  joinLink,
  makeJoinCode,
  readJoinCode,
  showJoinCode,
} from '@/lib/join/join-code'
import { readPersonName, sameName } from '@/lib/join/person-name'
import { makeSessionToken, readSessionCookie, writeSessionCookie } from '@/lib/join/session-cookie'

const counting = () => {
  let next = 0
  return (n: number) => Uint8Array.from({ length: n }, () => next++ % 256)
}
const random = (n: number) => globalThis.crypto.getRandomValues(new Uint8Array(n))

describe('join codes', () => {
  it('hold at least 80 bits, so that no rate of guessing matters', () => {
    expect(CODE_LENGTH * Math.log2(CODE_ALPHABET.length)).toBeGreaterThanOrEqual(80)
    expect(new Set(CODE_ALPHABET).size).toBe(CODE_ALPHABET.length)
    // Each look-alike stands for one sign only.
    for (const lookAlike of 'iloIOLuU') expect(CODE_ALPHABET).not.toContain(lookAlike)
    const guesses = 10_000 * 31 * 24 * 3600
    expect(guesses / CODE_ALPHABET.length ** CODE_LENGTH).toBeLessThan(1e-13)
  })
  it('favour no letter: over all byte values each comes up equally often', () => {
    const source = counting()
    const counts = new Map<string, number>()
    // 16 codes = 256 letters, one for each byte value.
    for (let i = 0; i < 16; i++)
      for (const c of makeJoinCode((n) => source(n))) counts.set(c, (counts.get(c) ?? 0) + 1)
    expect([...counts.values()].reduce((a, b) => a + b)).toBe(256)
    expect(new Set(counts.values())).toEqual(new Set([8]))
    expect(counts.size).toBe(CODE_ALPHABET.length)
  })
  it('are read however they are typed', () => {
    const code = makeJoinCode(random)
    expect(showJoinCode(code)).toMatch(/^[0-9A-Z]{4}(-[0-9A-Z]{4}){3}$/)
    expect(readJoinCode(showJoinCode(code))).toEqual({ ok: true, value: code })
    expect(readJoinCode(` ${code.slice(0, 3)} ${code.slice(3)}\n`)).toEqual({ ok: true, value: code })
    const taken = 'O0oI-1lL2–3456‐789A'
    expect(readJoinCode(taken)).toEqual({ ok: true, value: '000111123456789a' })
  })
  it('of earlier versions are still read as they were', () => {
    expect(readJoinCode('ABCDU-FGHJK')).toEqual({ ok: true, value: 'abcdufghjk' })
  })
  it('refuse anything else without repeating it', () => {
    for (const bad of [
      '',
      'abc',
      'abcdefghj0',
      'abcdefghjkm',
      'abcdefgh0123456u',
      '‐'.repeat(16),
      'x'.repeat(10_000),
    ]) {
      const read = readJoinCode(bad)
      expect(read.ok).toBe(false)
      if (!read.ok && bad !== '') expect(JSON.stringify(read.error)).not.toContain(bad)
    }
  })
  it('travel in the fragment', () => {
    const url = new URL(joinLink('http://10.0.0.2:4310', 'abcdefghjk012345'))
    expect([url.pathname, url.search, url.hash]).toEqual(['/join', '', '#abcdefghjk012345'])
  })
})

describe('names', () => {
  it('are trimmed and composed', () => {
    expect(readPersonName('  Zoe\u0308   A. ')).toEqual({ ok: true, value: 'Zoë A.' })
    expect(readPersonName('x'.repeat(40)).ok).toBe(true)
  })
  it.each(['', '   ', 'x'.repeat(41), 'a\nb', 'a\u0000', 'a\u202eb', 'tab\tbed', '\u0085x'])(
    'refuse %j',
    (bad) => {
      expect(readPersonName(bad).ok).toBe(false)
    },
  )
  it('are the same whatever their case or accents', () => {
    expect(sameName('zoe', 'Zoë')).toBe(true)
    expect(sameName('Zoe', 'Zoé B.')).toBe(false)
  })
})

describe('invitations', () => {
  const open: Invitation = {
    id: 'i',
    role: 'driver',
    name: null,
    singleUse: true,
    createdBy: 'm',
    createdAt: 0,
    expiresAt: 1000,
    uses: 0,
    revokedAt: null,
  }
  it('are open until used, expired or revoked', () => {
    expect(invitationState(open, 999)).toBe('open')
    expect(invitationState(open, 1000)).toBe('expired')
    expect(invitationState({ ...open, uses: 1 }, 0)).toBe('used')
    expect(invitationState({ ...open, uses: 9, singleUse: false }, 0)).toBe('open')
    expect(invitationState({ ...open, revokedAt: 5 }, 0)).toBe('revoked')
  })
  it('say why they are closed', () => {
    const used = checkInvitation({ ...open, uses: 1 }, 0)
    expect(!used.ok && used.error.reason).toMatch(/one phone only/)
    expect(checkInvitation(open, 0).ok).toBe(true)
  })
})

describe('[S1] the session cookie', () => {
  it('carries 256 bits, HttpOnly, SameSite, and Secure under https', () => {
    const token = makeSessionToken(random)
    expect(Buffer.from(token, 'base64url')).toHaveLength(32)
    const header = writeSessionCookie(token, true)
    for (const part of ['HttpOnly', 'SameSite=Lax', 'Path=/', 'Secure', 'Max-Age=2592000'])
      expect(header.split('; ')).toContain(part)
    expect(writeSessionCookie(token, false)).not.toContain('Secure')
    expect(readSessionCookie(header.split(';')[0])).toBe(token)
  })
  it('is found among others and never invented', () => {
    const token = makeSessionToken(random)
    expect(readSessionCookie(`a=b; stagecall_session=${token}; c="d"`)).toBe(token)
    for (const bad of [
      undefined,
      '',
      'stagecall_session=',
      'stagecall_session=short',
      `x_stagecall_session=${token}`,
    ])
      expect(readSessionCookie(bad)).toBeNull()
    fc.assert(fc.property(fc.string(), (s) => readSessionCookie(s) === null))
  })
})

describe('slowing of attempts', () => {
  it('[S25] lets people mistype, then holds each further answer back twice as long, up to a limit', () => {
    const t = new AttemptThrottle()
    for (let i = 0; i < THROTTLE.free; i++) expect(t.failed('a', 0)).toBe(0)
    expect([1, 2, 3].map(() => t.failed('a', 0))).toEqual([250, 500, 1000])
    for (let i = 0; i < 40; i++) t.failed('a', 5000)
    expect(t.failed('a', 5000)).toBe(THROTTLE.longestDelay)
  })
  it('[S25] costs its own sender alone, however many there are, and forgets after a quiet while', () => {
    const t = new AttemptThrottle()
    for (let i = 0; i < 1000; i++) t.failed('a', 0)
    expect(t.failed('b', 0)).toBe(0)
    expect(t.failed('a', THROTTLE.forgetAfter)).toBe(0)
    for (let i = 0; i < 10_000; i++) expect(t.failed(`address ${i}`, 0)).toBe(0)
    expect(t.senders).toBe(THROTTLE.maxSenders)
  })
})
