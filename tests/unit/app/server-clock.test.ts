import fc from '../../support/fast-check'
import { describe, expect, it } from 'vitest'
import { ServerClock } from '@/app/sync/server-clock'

/** A device whose clock is `wrong` ms behind the server's, and probes that take `out` ms there and `back` ms back. */
function phone(wrong: number) {
  let server = 1_000_000
  const clock = new ServerClock(() => server - wrong)
  return {
    clock,
    server: () => server,
    wait: (ms: number) => (server += ms),
    probe: (out: number, back: number) => {
      const sent = server - wrong
      server += out
      const answered = server
      server += back
      clock.sample(sent, answered)
    },
  }
}

describe('[S15] the server’s clock', () => {
  it('before anything was measured it is the device’s own', () => {
    const { clock, server } = phone(5000)
    expect(clock.now()).toBe(server() - 5000)
    expect(clock.measured).toBeNull()
  })

  it('the error is never more than half the shortest round trip', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: -1e7, max: 1e7 }),
        fc.array(fc.tuple(fc.integer({ min: 0, max: 400 }), fc.integer({ min: 0, max: 400 })), {
          minLength: 1,
          maxLength: 12,
        }),
        (wrong, probes) => {
          const p = phone(wrong)
          for (const [out, back] of probes) p.probe(out, back)
          const shortest = Math.min(...probes.map(([a, b]) => a + b))
          expect(Math.abs(p.clock.now() - p.server())).toBeLessThanOrEqual(shortest / 2 + 1e-6)
          expect(p.clock.measured?.plusMinusMs).toBe(shortest / 2)
        },
      ),
    )
  })

  it('two phones agree to a tenth of a second although one is slow to hear and the other is an hour off', () => {
    const a = phone(3_600_000)
    const b = phone(-700)
    for (const [out, back] of [
      [180, 20],
      [30, 45],
      [400, 10],
    ] as const) {
      a.probe(out, back)
      b.probe(back, out)
    }
    expect(Math.abs(a.clock.now() - a.server() - (b.clock.now() - b.server()))).toBeLessThan(100)
  })

  it('when the device’s clock is set, older samples are dropped at the first new one', () => {
    let wrong = 0
    let server = 1_000_000
    const clock = new ServerClock(() => server - wrong)
    clock.sample(server, server, server)
    wrong = 60_000
    server += 1000
    clock.sample(server - wrong, server + 50, server - wrong + 100)
    expect(Math.abs(clock.now() - server)).toBeLessThanOrEqual(50)
  })

  it('a sample that went back in time or holds no number is ignored', () => {
    const { clock } = phone(0)
    clock.sample(100, 100, 50)
    clock.sample(100, Number.NaN, 150)
    expect(clock.measured).toBeNull()
  })
})
