import fc from 'fast-check'
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
  it('hold at least 48 bits', () => {
    expect(CODE_LENGTH * Math.log2(CODE_ALPHABET.length)).toBeGreaterThan(48)
    expect(new Set(CODE_ALPHABET).size).toBe(CODE_ALPHABET.length)
    for (const lookAlike of '01ilo') expect(CODE_ALPHABET).not.toContain(lookAlike)
  })
  it('favour no letter: over all byte values each comes up equally often', () => {
    const source = counting()
    const counts = new Map<string, number>()
    // 124 codes = 1240 letters = 5 × 248 usable byte values.
    for (let i = 0; i < 124; i++)
      for (const c of makeJoinCode((n) => source(n))) counts.set(c, (counts.get(c) ?? 0) + 1)
    expect([...counts.values()].reduce((a, b) => a + b)).toBe(1240)
    expect(Math.max(...counts.values()) - Math.min(...counts.values())).toBeLessThanOrEqual(4)
  })
  it('are read however they are typed', () => {
    const code = makeJoinCode(random)
    expect(readJoinCode(showJoinCode(code))).toEqual({ ok: true, value: code })
    expect(readJoinCode(` ${code.slice(0, 3)} ${code.slice(3)}\n`)).toEqual({ ok: true, value: code })
  })
  it('refuse anything else without repeating it', () => {
    for (const bad of ['', 'abc', 'abcdefghj0', 'abcdefghjkm', '‐'.repeat(10), 'x'.repeat(10_000)]) {
      const read = readJoinCode(bad)
      expect(read.ok).toBe(false)
      if (!read.ok && bad !== '') expect(JSON.stringify(read.error)).not.toContain(bad)
    }
  })
  it('travel in the fragment', () => {
    const url = new URL(joinLink('http://10.0.0.2:4310', 'abcdefghjk'))
    expect([url.pathname, url.search, url.hash]).toEqual(['/join', '', '#abcdefghjk'])
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
  it('lets people mistype, then doubles the wait up to a limit', () => {
    const t = new AttemptThrottle()
    for (let i = 0; i < THROTTLE.free; i++) {
      expect(t.waitOf('a', 0)).toBe(0)
      t.failed('a', 0)
    }
    expect(t.waitOf('a', 0)).toBe(1000)
    expect(t.waitOf('a', 400)).toBe(600)
    expect(t.waitOf('a', 1000)).toBe(0)
    t.failed('a', 1000)
    expect(t.waitOf('a', 1000)).toBe(2000)
    for (let i = 0; i < 40; i++) t.failed('a', 5000)
    expect(t.waitOf('a', 5000)).toBe(THROTTLE.longestDelay)
    expect(t.waitOf('b', 5000)).toBe(0)
  })
  it('forgets after a quiet while, and at once after a success', () => {
    const t = new AttemptThrottle()
    for (let i = 0; i < 9; i++) t.failed('a', 0)
    expect(t.waitOf('a', THROTTLE.forgetAfter)).toBe(0)
    for (let i = 0; i < 9; i++) t.failed('b', 0)
    t.succeeded('b')
    expect(t.waitOf('b', 0)).toBe(0)
  })
  it('slows a script with many addresses, gently, in bounded memory', () => {
    const t = new AttemptThrottle()
    for (let i = 0; i < 10_000; i++) t.failed(`address ${i}`, 0)
    expect(t.addresses).toBe(THROTTLE.maxAddresses)
    expect(t.waitOf('somebody else', 0)).toBe(THROTTLE.globalLongestDelay)
  })
})
