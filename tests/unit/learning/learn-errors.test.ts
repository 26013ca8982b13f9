import fc from '../../support/fast-check'
import { describe, expect, test } from 'vitest'
import { learnErrors, type Reading, type Slopes } from '@/lib/learning'
import { errorFigures, errorPriors, type ErrorFigure } from '@/lib/setup-math'
import { errorPosterior } from '../../support/error-posterior'
import { drawsFrom } from '../../support/seeded-draws'

const who = { surface: 'clay', carClass: '4wd', car: 'Rook' }
const none = Object.fromEntries(errorFigures.map((f) => [f, {}])) as Slopes
const slopes: Slopes = { ...none, charge: { grip: 0.1, rolling: 0.12, drag: 0.08 }, lap: { grip: -0.08 } }
const reading = (
  record: string,
  figure: ErrorFigure,
  logRatio: number,
  more: Partial<Reading> = {},
): Reading => ({
  ...who,
  record,
  at: Number(record.replace(/\D/g, '')),
  figure,
  logRatio,
  ...more,
})
const learn = (readings: readonly Reading[], trusted: string[] = [], s = slopes) =>
  learnErrors({ who, readings, slopes: s, trusted: new Set(trusted) })

describe('what the runs taught', () => {
  test('without readings it is the prior', () => {
    const { figures, readings, together } = learn([])
    for (const f of errorFigures) {
      expect(figures[f]).toMatchObject({ mean: errorPriors[f].mean, left: 1, readings: 0, widen: 1 })
      expect(figures[f].sdNow).toBe(figures[f].sdBefore)
    }
    expect([readings, together]).toEqual([[], []])
  })

  test('one figure alone agrees with the scalar update of setup math', () => {
    // The inputs as one slope of the size that the scalar update takes them to be; only how far the scatter's tails spread the answer differs.
    const p = errorPriors.charge
    const alone = { ...none, charge: { all: p.inputs } }
    const xs = [0.21, 0.25, 0.19]
    const told = learn(
      xs.map((x, i) => reading(`r${i}`, 'charge', x)),
      [],
      alone,
    )
    const scalar = errorPosterior(
      p,
      xs.map((logRatio) => ({ ...who, logRatio })),
      who,
    )
    expect(told.figures.charge.mean).toBeCloseTo(scalar.mean, 9)
    expect(told.figures.charge.left).toBeGreaterThan(scalar.left)
    expect(told.figures.charge.left).toBeLessThan(1.5 * scalar.left)
  })

  test('a lap alone moves the charge by the input that both rest on', () => {
    // By hand, normal law of two: the share that is all figures' of cov(charge, lap) / (var(lap) + run² / weight) times the lap's reading off the mean.
    const p = errorPriors.lap
    const off = 0.03
    const { figures, readings } = learn([reading('r1', 'lap', p.mean + off)])
    const variance = p.surface ** 2 + p.carClass ** 2 + p.car ** 2 + 0.08 ** 2
    let weight = 1
    for (let i = 0; i < 12; i++) {
      const left = off - (off * variance) / (variance + p.run ** 2 / weight)
      weight = 5 / (4 + (left / p.run) ** 2)
    }
    const by = ((0.85 * 0.1 * -0.08) / (variance + p.run ** 2 / weight)) * off
    expect(figures.charge.mean).toBeCloseTo(errorPriors.charge.mean + by, 9)
    expect(readings[0]?.moved.charge).toBeCloseTo(by, 9)
    expect(figures.charge.readings).toBe(0)
  })

  test('charge, however often it is read, leaves the lowest voltage a part of its own', () => {
    // One input moves both alike: a perfect model would tell the one from the other.
    const tied = { ...none, charge: { drag: 0.18 }, lowSag: { drag: 0.18 }, endDrop: { drag: 0.18 } }
    const many = Array.from({ length: 60 }, (_, i) => reading(`r${i}`, 'charge', 0.1))
    const { lowSag, endDrop } = learn(many, [], tied).figures
    const of = (f: ErrorFigure) => {
      const p = errorPriors[f]
      return p.surface ** 2 + p.carClass ** 2 + p.car ** 2
    }
    // By hand, with the charge known exactly: what is left is whole - cov² / var(charge).
    const [all, charge] = [0.18 ** 2, of('charge') + 0.18 ** 2]
    const low = of('lowSag') + all
    expect(lowSag.left).toBeCloseTo(1 - (0.85 * all) ** 2 / charge / low, 2)
    const [p, q] = [errorPriors.charge, errorPriors.endDrop]
    const together = 0.8 * (p.surface * q.surface + p.carClass * q.carClass + p.car * q.car) + all
    expect(endDrop.left).toBeCloseTo(1 - together ** 2 / charge / (of('endDrop') + all), 2)
    expect(endDrop.left).toBeLessThan(lowSag.left)
  })

  test('what all readings of a figure are off by in common stays open, however many there are', () => {
    const many = Array.from({ length: 30 }, (_, i) => reading(`r${i}`, 'charge', 0.1 + 0.01 * ((i % 3) - 1)))
    const told = (apart: number) =>
      learnErrors({ who, readings: many, slopes, apart: { charge: apart } }).figures.charge
    const [p, sd] = [errorPriors.charge, 0.04]
    const whole = p.surface ** 2 + p.carClass ** 2 + p.car ** 2 + 0.1 ** 2 + 0.12 ** 2 + 0.08 ** 2
    // Two normal laws of which only the sum is told: what is left of one is the product of both over their sum, by hand.
    const left = (whole * sd ** 2) / (whole + sd ** 2) / whole
    expect(told(sd).left).toBeGreaterThan(left)
    expect(told(sd).left).toBeLessThan(left + 0.05)
    expect(told(0).left).toBeLessThan(0.05)
    expect(told(sd).mean).toBeLessThan(told(0).mean)
  })

  test('inputs that only their sum is told of are said to be so', () => {
    const told = learn([0.2, 0.22, 0.21].map((x, i) => reading(`r${i}`, 'charge', x)))
    const charge = told.together.find((t) => t.figure === 'charge')
    expect(charge?.inputs.length).toBeGreaterThan(1)
    // Each of them moved, none of them is known: each has more than half of its variance still.
    for (const name of charge?.inputs ?? []) {
      expect(told.inputs[name]?.mean).toBeGreaterThan(0.3)
      expect(told.inputs[name]?.left).toBeGreaterThan(0.5)
    }
    // The lap rests on the grip alone: nothing is together there.
    expect(told.together.some((t) => t.figure === 'lap')).toBe(false)
  })

  test('another car of the class counts for what it shares; one on another surface for nothing', () => {
    const mean = (more: Partial<Reading>) =>
      learn([1, 2, 3].map((i) => reading(`r${i}`, 'charge', 0.3, more))).figures.charge.mean
    const [own, mate, surface, elsewhere] = [
      mean({}),
      mean({ car: 'Wren' }),
      mean({ car: 'Wren', carClass: '2wd' }),
      mean({ surface: 'carpet' }),
    ]
    expect(own).toBeGreaterThan(mate)
    expect(mate).toBeGreaterThan(surface)
    expect(surface).toBeGreaterThan(0)
    expect(elsewhere).toBe(0)
  })
})

describe('a record that contradicts the others', () => {
  const good = [0.2, 0.21, 0.19, 0.2, 0.22].map((x, i) => reading(`r${i}`, 'charge', x))
  const bad = reading('r9', 'charge', 0.2 + 8 * errorPriors.charge.run)

  test('is set aside, said so, and changes nothing then', () => {
    const clean = learn(good)
    const spoilt = learn([...good, bad])
    expect(spoilt.readings.filter((r) => r.state === 'set-aside').map((r) => r.record)).toEqual(['r9'])
    expect(Math.abs(spoilt.readings.find((r) => r.record === 'r9')?.off ?? 0)).toBeGreaterThan(6)
    expect(spoilt.figures).toEqual(clean.figures)
  })

  test('counts fully once somebody puts it back, and the figures come back exactly when that is taken back', () => {
    const before = learn([...good, bad])
    const trusted = learn([...good, bad], ['r9'])
    expect(trusted.readings.find((r) => r.record === 'r9')?.state).toBe('trusted')
    expect(trusted.figures.charge.mean).toBeGreaterThan(before.figures.charge.mean + 0.02)
    expect(learn([...good, bad])).toEqual(before)
  })

  test('two that disagree are no majority: nobody is set aside', () => {
    expect(learn([good[0]!, bad]).readings.every((r) => r.state === 'used')).toBe(true)
  })

  test('only the reading is set aside, not what else the record says', () => {
    const more = [...good, bad, reading('r9', 'lap', 0.02)]
    expect(learn(more).readings.find((r) => r.record === 'r9' && r.figure === 'lap')?.state).toBe('used')
  })
})

const anyReading = fc.record({
  surface: fc.constantFrom('clay', 'carpet'),
  carClass: fc.constantFrom('4wd', '2wd'),
  car: fc.constantFrom('Rook', 'Wren'),
  record: fc.constantFrom('r1', 'r2', 'r3', 'r4', 'r5', 'r6'),
  at: fc.integer({ min: 0, max: 5 }),
  figure: fc.constantFrom(...errorFigures),
  logRatio: fc.double({ min: -1, max: 1, noNaN: true }),
})

test('the order of records does not matter', () => {
  fc.assert(
    fc.property(
      fc
        .array(anyReading, { maxLength: 20 })
        .chain((rs) => fc.tuple(fc.constant(rs), fc.shuffledSubarray(rs, { minLength: rs.length }))),
      ([readings, shuffled]) => {
        expect(learn(shuffled)).toEqual(learn(readings))
      },
    ),
    { numRuns: 60 },
  )
})

test('forgetting records and putting them back is as if nothing had been', () => {
  fc.assert(
    fc.property(fc.array(anyReading, { maxLength: 20 }), fc.constantFrom('r1', 'r2'), (readings, record) => {
      const before = learn(readings)
      const without = readings.filter((r) => r.record !== record)
      const forgotten = learn(without)
      expect(forgotten.readings.some((r) => r.record === record)).toBe(false)
      expect(learn([...without, ...readings.filter((r) => r.record === record)])).toEqual(before)
    }),
    { numRuns: 60 },
  )
})

test('figures are finite whatever was entered, and never wider than before except by past predictions', () => {
  fc.assert(
    fc.property(fc.array(anyReading, { maxLength: 24 }), (readings) => {
      for (const f of errorFigures) {
        const { mean, left, sdNow, sdBefore, widen } = learn(readings).figures[f]
        expect(Number.isFinite(mean) && Number.isFinite(sdNow)).toBe(true)
        expect(left).toBeGreaterThanOrEqual(0)
        expect(sdNow / widen).toBeLessThanOrEqual(sdBefore * (1 + 1e-9))
      }
    }),
    { numRuns: 80 },
  )
})

test('on truths of its own prior nine in ten lie within the ±, after 0, 1, 3 and 6 records', () => {
  const { gauss } = drawsFrom(4)
  for (const count of [0, 1, 3, 6]) {
    let held = 0
    const tries = 400
    for (let i = 0; i < tries; i++) {
      const inputs = { grip: gauss(), rolling: gauss(), drag: gauss() } as Record<string, number>
      const common = (f: ErrorFigure) => {
        const p = errorPriors[f]
        const own = Math.hypot(p.surface, p.carClass, p.car) * gauss()
        return p.mean + own + Object.entries(slopes[f]).reduce((s, [k, v]) => s + v * (inputs[k] ?? 0), 0)
      }
      const [charge, lap] = [common('charge'), common('lap')]
      const readings = Array.from({ length: count }, (_, k) => [
        reading(`r${k}`, 'charge', charge + errorPriors.charge.run * gauss()),
        reading(`r${k}`, 'lap', lap + errorPriors.lap.run * gauss()),
      ]).flat()
      const told = learn(readings).figures.charge
      if (Math.abs(charge + errorPriors.charge.run * gauss() - told.mean) <= 1.645 * told.sdNow) held++
    }
    expect(held / tries, `${count} records`).toBeGreaterThan(0.85)
    expect(held / tries, `${count} records`).toBeLessThan(0.95)
  }
})
