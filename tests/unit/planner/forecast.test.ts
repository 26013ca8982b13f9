import fc from '../../support/fast-check'
import { describe, expect, it } from 'vitest'
import { gapShapes, scoreForecast, simulateDay } from '../../support/planner-forecast-days'
import { forecastRunningOrder } from '@/lib/planner/forecast/forecast-running-order'
import type { ForecastHeat } from '@/lib/planner/forecast/forecast-types'

const T0 = Date.UTC(2031, 4, 17, 8, 0)
const MIN = 60_000
const SLOT = 8 * MIN // five minutes of racing, three minutes of gap

const order = (n: number, change: (h: ForecastHeat, i: number) => Partial<ForecastHeat> = () => ({})) =>
  Array.from({ length: n }, (_, i): ForecastHeat => {
    const h: ForecastHeat = { id: `h${i}`, round: 'Q1', plannedStart: T0 + i * SLOT, raceSeconds: 300 }
    return { ...h, ...change(h, i) }
  })
const startOf = (f: ReturnType<typeof forecastRunningOrder>, id: string): number =>
  f.heats.find((h) => h.id === id)!.expectedStart!

describe('forecast of the running order', () => {
  it('follows the plan before anything is stamped, and is less sure the further it looks', () => {
    const f = forecastRunningOrder({ heats: order(12), now: T0 - 30 * MIN })
    expect(Math.abs(startOf(f, 'h0') - T0)).toBeLessThan(3 * MIN)
    expect(Math.abs(startOf(f, 'h6') - (T0 + 6 * SLOT))).toBeLessThan(6 * MIN)
    const width = (i: number) => f.heats[i]!.highStart! - f.heats[i]!.lowStart!
    expect(width(11)).toBeGreaterThan(width(2))
    expect(f.gap.seen).toBe(0)
  })

  it('learns a slower turnaround and carries it forward, beyond the drift so far', () => {
    const heats = order(20, (h, i) => (i < 10 ? { startedAt: T0 + i * (SLOT + MIN) } : {}))
    const f = forecastRunningOrder({ heats, now: T0 + 9 * (SLOT + MIN) + MIN })
    expect(f.gap.seen).toBe(9)
    expect(f.gap.meanSeconds).toBeGreaterThan(210)
    expect(f.gap.meanSeconds).toBeLessThan(250)
    // Drift at the last stamp is 9 min; ten more heats at nearly a minute each make it some 18.
    const late = (startOf(f, 'h19') - (T0 + 19 * SLOT)) / MIN
    expect(late).toBeGreaterThan(15)
    expect(late).toBeLessThan(20)
  })

  it('bridges a missed stamp, says that the heat ran, and learns the same gap', () => {
    const stamped = order(12, (h, i) => (i < 8 ? { startedAt: T0 + i * SLOT } : {}))
    const missed = stamped.map((h) => (h.id === 'h5' ? { ...h, startedAt: null } : h))
    const now = T0 + 7 * SLOT + MIN
    const whole = forecastRunningOrder({ heats: stamped, now })
    const f = forecastRunningOrder({ heats: missed, now })
    const h5 = f.heats[5]!
    expect(h5.stage).toBe('assumed')
    expect(h5.expectedStart).toBe(T0 + 5 * SLOT)
    expect(h5.lowStart!).toBeLessThanOrEqual(h5.expectedStart!)
    expect(h5.highStart!).toBeGreaterThanOrEqual(h5.expectedStart!)
    expect(Math.abs(startOf(f, 'h11') - startOf(whole, 'h11'))).toBeLessThan(MIN)
  })

  it('takes a correction: a stamp given and undone leaves no trace', () => {
    const heats = order(6, (h, i) => (i < 2 ? { startedAt: T0 + i * SLOT } : {}))
    const wrong = heats.map((h) => (h.id === 'h2' ? { ...h, startedAt: T0 + SLOT + 6 * MIN } : h))
    const now = T0 + SLOT + 6 * MIN
    const before = forecastRunningOrder({ heats, now })
    expect(forecastRunningOrder({ heats: wrong, now })).not.toEqual(before)
    expect(forecastRunningOrder({ heats, now })).toEqual(before)
  })

  it('moves everything by a heat that is run again, without calling the gap slow', () => {
    const once = order(12, (h, i) => (i < 7 ? { startedAt: T0 + i * SLOT } : {}))
    const again = once.map((h) => (h.id === 'h6' ? { ...h, startedAt: T0 + 7 * SLOT } : h))
    const a = forecastRunningOrder({ heats: once, now: T0 + 6 * SLOT + MIN })
    const b = forecastRunningOrder({ heats: again, now: T0 + 7 * SLOT + MIN })
    expect((startOf(b, 'h7') - startOf(a, 'h7')) / MIN).toBeCloseTo(8, 0)
    // One gap of eleven minutes among six of three: the mean may rise, but not to a third more.
    expect(b.gap.meanSeconds - a.gap.meanSeconds).toBeLessThan(90)
  })

  it('puts a heat run again at the end of its round before the next round, though it stands early in the list', () => {
    const heats = order(10, (h, i) => (i < 5 ? { startedAt: T0 + i * SLOT } : {}))
    const again = heats.map((h) => (h.id === 'h1' ? { ...h, startedAt: T0 + 5 * SLOT } : h))
    const f = forecastRunningOrder({ heats: again, now: T0 + 5 * SLOT + MIN })
    expect(startOf(f, 'h5')).toBeGreaterThan(T0 + 5 * SLOT + 5 * MIN)
  })

  it('lets a break swallow drift down to its minimum and no further, and never starts ahead of the published time', () => {
    const broken = (late: number) =>
      order(8, (h, i) => ({
        plannedStart: h.plannedStart! + (i >= 4 ? 40 * MIN : 0),
        ...(i < 4 ? { startedAt: T0 + i * SLOT + late } : {}),
      }))
    const after = T0 + 4 * SLOT + 40 * MIN
    const small = forecastRunningOrder({ heats: broken(10 * MIN), now: T0 + 3 * SLOT + 10 * MIN })
    expect(small.heats[4]!.breakBefore).toBe(true)
    expect(small.heats[4]!.lowStart!).toBeGreaterThanOrEqual(after)
    expect(startOf(small, 'h4') - after).toBeLessThan(3 * MIN)
    // 35 min late: the planned 43 min between may shrink to half of that, some 21 min.
    const large = forecastRunningOrder({ heats: broken(35 * MIN), now: T0 + 3 * SLOT + 35 * MIN })
    const lastEnd = T0 + 3 * SLOT + 35 * MIN + 5 * MIN
    expect(large.heats[4]!.lowStart! - lastEnd).toBeGreaterThanOrEqual(21 * MIN)
    const kept = forecastRunningOrder({
      heats: broken(35 * MIN).map((h) => (h.id === 'h4' ? { ...h, minBreakSeconds: 40 * 60 } : h)),
      now: T0 + 3 * SLOT + 35 * MIN,
    })
    expect(kept.heats[4]!.lowStart! - lastEnd).toBeGreaterThanOrEqual(40 * MIN)
    // An early morning does not start the afternoon early.
    const early = forecastRunningOrder({ heats: broken(-10 * MIN), now: T0 + 3 * SLOT - 9 * MIN })
    expect(early.heats[4]!.lowStart!).toBeGreaterThanOrEqual(after)
  })

  it('closes the gap of a dropped heat, but keeps the break that stood before it', () => {
    const dropped = order(8, (h, i) => ({ dropped: i === 4, ...(i < 3 ? { startedAt: T0 + i * SLOT } : {}) }))
    const f = forecastRunningOrder({ heats: dropped, now: T0 + 2 * SLOT + MIN })
    expect(f.heats[4]!.stage).toBe('dropped')
    expect(f.heats[4]!.expectedStart).toBeNull()
    expect((startOf(f, 'h5') - startOf(f, 'h3')) / MIN).toBeCloseTo(8, 0)
    const lunch = order(8, (h, i) => ({
      plannedStart: h.plannedStart! + (i >= 4 ? 45 * MIN : 0),
      dropped: i === 4,
      ...(i < 3 ? { startedAt: T0 + i * SLOT } : {}),
    }))
    expect(forecastRunningOrder({ heats: lunch, now: T0 + 2 * SLOT + MIN }).heats[5]!.breakBefore).toBe(true)
  })

  it('makes room for an inserted round whose heats have no times or overlap the next', () => {
    const base = order(10, (h, i) => (i < 3 ? { startedAt: T0 + i * SLOT } : {}))
    const extra = (at: number | null) =>
      [0, 1, 2].map((k): ForecastHeat => ({
        id: `x${k}`,
        round: 'extra',
        plannedStart: at && at + k * SLOT,
        raceSeconds: 300,
      }))
    const now = T0 + 2 * SLOT + MIN
    const before = startOf(forecastRunningOrder({ heats: base, now }), 'h5')
    for (const at of [null, T0 + 5 * SLOT]) {
      const f = forecastRunningOrder({ heats: [...base.slice(0, 5), ...extra(at), ...base.slice(5)], now })
      expect((startOf(f, 'h5') - before) / MIN).toBeGreaterThan(21)
      expect((startOf(f, 'h5') - before) / MIN).toBeLessThan(28)
    }
  })

  it('starts the next heat only after a stamped finish, and no earlier than now when it is a little overdue', () => {
    const heats = order(4, (h, i) => (i < 2 ? { startedAt: T0 + i * SLOT } : {}))
    const long = heats.map((h) => (h.id === 'h1' ? { ...h, finishedAt: T0 + SLOT + 8.5 * MIN } : h))
    const now = T0 + SLOT + 8.6 * MIN
    expect(forecastRunningOrder({ heats: long, now }).heats[2]!.lowStart!).toBeGreaterThan(
      T0 + SLOT + 8.5 * MIN,
    )
    const overdue = forecastRunningOrder({ heats, now: T0 + SLOT + 9 * MIN })
    expect(startOf(overdue, 'h2')).toBeGreaterThan(T0 + SLOT + 9 * MIN)
  })

  it('doubts stamps from the future and finishes before their start', () => {
    const heats = order(5, (h, i) =>
      i === 0 ? { startedAt: T0, finishedAt: T0 - MIN } : i === 1 ? { startedAt: T0 + 90 * MIN } : {},
    )
    const f = forecastRunningOrder({ heats, now: T0 + 6 * MIN })
    expect([...f.doubted].sort()).toEqual(['h0', 'h1'])
    expect(f.heats[1]!.stage).toBe('coming')
  })

  it('gives finite times in an unbroken order for any list of heats', () => {
    const heat = fc.record({
      plannedStart: fc.option(fc.integer({ min: 0, max: 600 }).map((m) => T0 + m * MIN)),
      raceSeconds: fc.integer({ min: 60, max: 1800 }),
      startedAt: fc.option(fc.integer({ min: 0, max: 600 }).map((m) => T0 + m * MIN)),
      finishedAt: fc.option(fc.integer({ min: 0, max: 600 }).map((m) => T0 + m * MIN)),
      dropped: fc.boolean(),
    })
    fc.assert(
      fc.property(fc.array(heat, { maxLength: 12 }), fc.integer({ min: 0, max: 700 }), (list, m) => {
        const heats = list.map((h, i) => ({ ...h, id: `h${i}`, round: 'Q' }))
        const f = forecastRunningOrder({ heats, now: T0 + m * MIN })
        expect(Number.isFinite(f.driftSeconds)).toBe(true)
        let last = -Infinity
        for (const h of f.heats) {
          if (h.stage === 'dropped') continue
          expect(h.lowStart!).toBeLessThanOrEqual(h.expectedStart!)
          expect(h.highStart!).toBeGreaterThanOrEqual(h.expectedStart!)
          expect(h.expectedFinish!).toBeGreaterThan(h.expectedStart!)
          if (h.stage !== 'coming') continue
          expect(h.expectedStart!).toBeGreaterThan(last)
          last = h.expectedStart!
        }
      }),
      { numRuns: 60 },
    )
  })
})

describe('forecast on simulated days', () => {
  it('covers the truth in 85 to 95% and is no worse than shifting everything by the drift so far', () => {
    let heats = 0
    let covered = 0
    for (const shape of gapShapes) {
      const s = scoreForecast(
        shape,
        Array.from({ length: 30 }, (_, i) => 7001 + i * 17),
        3,
      )
      heats += s.heats
      covered += s.covered
      expect(s.error, shape).toBeLessThanOrEqual(s.shiftError)
    }
    expect(heats).toBeGreaterThan(5000)
    expect(covered / heats).toBeGreaterThanOrEqual(0.85)
    expect(covered / heats).toBeLessThanOrEqual(0.95)
  })

  it('is the same for the same input', () => {
    const day = simulateDay(3, 'bimodal')
    const now = (day.firstStart + day.lastStart) / 2
    expect(forecastRunningOrder({ heats: day.at(now), now })).toEqual(
      forecastRunningOrder({ heats: day.at(now), now }),
    )
  })
})
