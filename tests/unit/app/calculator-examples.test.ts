import { expect, test } from 'vitest'
import { answerOf } from '@/app/tools/calculator'
import { CALCULATORS } from '@/app/tools/calculators'
import { converted, UNIT_EXAMPLES } from '@/app/tools/converted'
import { LAP_EXAMPLE } from '@/app/tools/lap-example'
import { parseLaps } from '@/lib/core/parse-laps'
import { isAbsent, lapStatistics } from '@/lib/setup-math'

/*
 * Each worked example once more by hand: arithmetic on the example's own numbers, without the functions under test. The rows of the rest
 * voltage table that the pack examples fall between are 3.0000 V at 0%, 3.5353 V at 5%, 4.1384 V at 95% and 4.2000 V at 100% (PyBaMM,
 * parameter set Ai2020).
 */
const fdr = (72 / 31) * 2.6
const rollout = (Math.PI * 83) / fdr
/** Share of charge at which a cell rests at the floor plus its sag. */
const leftAtFloor = (0.05 * (3.2 + 60 * 0.004 - 3.0)) / (3.5353 - 3.0)
/** Share of charge at which 6 A bring a cell to 4.2 V, and the taper's time constant: cell resistance x charge / slope of the table. */
const fullUnderWay = 0.95 + (0.05 * (4.2 - 6 * 0.004 - 4.1384)) / (4.2 - 4.1384)
const taperS = (0.004 * 6 * 3600) / ((4.2 - 4.1384) / 0.05)
const tilt = 120 / Math.sqrt(285 ** 2 - 120 ** 2)
const perGram = 285 / (1600 * tilt)
const wheelRate = 800 * 0.6 ** 2
const withTire = 1 / (1 / wheelRate + 1 / 3000)

const BY_HAND: Record<string, Record<string, number | string>> = {
  'gear-pair': {
    finalDrive: fdr,
    rollout,
    speed: ((30_000 / 60) * rollout) / 1000,
    center: ((25.4 / 48) * (31 + 72)) / 2,
  },
  'same-speed': { ratio: (6.0387 * 2750) / 2200 },
  'pack-time': {
    start: 2 * 4.2 - 60 * 0.008,
    charge: (1 - leftAtFloor) * 6,
    minutes: ((1 - leftAtFloor) * 6 * 60) / 60,
  },
  'charge-time': {
    cc: (fullUnderWay - 0.2) * 60,
    cv: (taperS * Math.log(6 / 0.3)) / 60,
    total: (fullUnderWay - 0.2) * 60 + (taperS * Math.log(6 / 0.3)) / 60,
    rate: 1,
  },
  'corner-weights': {
    total: 1600,
    front: (100 * (300 + 308)) / 1600,
    left: (100 * (300 + 490)) / 1600,
    cross: (100 * (308 + 490)) / 1600,
  },
  ballast: {
    'at Front axle': 50,
    added: 50,
    total: 1550,
    front: (100 * (0.38 * 1500 + 50)) / 1550,
    left: 50,
  },
  'cg-height': { height: 41.5 + (643.18 - 608) * perGram, perGram },
  'ride-frequency': {
    wheelRate,
    rideRate: withTire,
    frequency: Math.sqrt(withTire / 0.3) / (2 * Math.PI),
  },
  pace: { laps: 14, finish: 14 * 22.4, oneMore: 300 / 14 },
  flight: { wh: 7.4 * 6, travel: 'carry-on' },
}

/** Figures in a text; 5:13.6 is read as seconds. With how many decimals and digits each was given. */
const figuresOf = (text: string) =>
  [...text.matchAll(/(?:(\d+):(?=\d\d))?(\d+(?:\.(\d+))?)/g)].map(([, minutes, rest, decimals]) => ({
    value: 60 * Number(minutes ?? 0) + Number(rest),
    decimals: decimals?.length ?? 0,
    digits: rest?.replace(/^0\.0*|\./g, '').length ?? 0,
  }))
/** Does the text give this figure: exactly, or rounded to no fewer than three digits? */
const says = (text: string, value: number) =>
  figuresOf(text).some(
    (f) => f.value === value || (f.digits >= 3 && f.value.toFixed(f.decimals) === value.toFixed(f.decimals)),
  )

const exampleOf = (calc: (typeof CALCULATORS)[number]) =>
  Object.fromEntries(calc.inputs.map((i) => [i.id, i.example]))

test('every calculator has its example worked by hand', () => {
  expect(Object.keys(BY_HAND).sort()).toEqual(CALCULATORS.map((c) => c.id).sort())
})

test.each(CALCULATORS.map((c) => [c.title, c] as const))(
  '%s: the worked example comes out as by hand, and its text says so',
  (_, calc) => {
    const answer = answerOf(calc, exampleOf(calc))
    if (answer.kind !== 'results') throw new Error(JSON.stringify(answer))
    for (const [id, byHand] of Object.entries(BY_HAND[calc.id] ?? {})) {
      const found = answer.results.find((r) => r.id === id)?.value
      if (typeof byHand === 'string') {
        expect(found, id).toBe(byHand)
        expect(calc.example.text).toContain(byHand)
      } else {
        expect(Number(found) / byHand, `${id}: ${found} by hand ${byHand}`).toBeCloseTo(1, 9)
        expect(says(calc.example.text, byHand), `the text gives ${id}, ${byHand}`).toBe(true)
      }
    }
    // What is left of the answer, if anything, is nothing but zeroes: places without ballast.
    const rest = answer.results.filter((r) => !(r.id in (BY_HAND[calc.id] ?? {})))
    expect(rest.every((r) => r.value === 0)).toBe(true)
    expect(calc.example.source).not.toBe('')
  },
)

test('the ride frequency meets the published corner of a full-size car that its source names', () => {
  const calc = CALCULATORS.find((c) => c.id === 'ride-frequency')!
  const answer = answerOf(calc, {
    springNPerM: 140101,
    motionRatio: 0.7334,
    tireNPerM: 318030,
    massKg: 312,
    damper: null,
  })
  if (answer.kind !== 'results') throw new Error(JSON.stringify(answer))
  const shown = Object.fromEntries(answer.results.map((r) => [r.id, Number(r.value).toFixed(r.digits)]))
  // Published: 75 357 N/m, with the tire 60 922 N/m, 2.22 Hz.
  expect(shown['wheelRate']).toBe('75357')
  expect(Number(shown['rideRate']) / 60922).toBeCloseTo(1, 4)
  expect(shown['frequency']).toBe('2.22')
  expect(shown).not.toHaveProperty('damping')
})

test('a damper brings its damping ratio: c r² over 2 √(k m)', () => {
  const calc = CALCULATORS.find((c) => c.id === 'ride-frequency')!
  const answer = answerOf(calc, { ...exampleOf(calc), tireNPerM: null, damper: 40 })
  if (answer.kind !== 'results') throw new Error(JSON.stringify(answer))
  const found = Object.fromEntries(answer.results.map((r) => [r.id, r.value]))
  expect(found['damping']).toBeCloseTo((40 * 0.36) / (2 * Math.sqrt(288 * 0.3)), 9)
  expect(found).not.toHaveProperty('rideRate')
  expect(found['frequency']).toBeCloseTo(Math.sqrt(288 / 0.3) / (2 * Math.PI), 9)
})

test('the teeth of a gear pair are a module or a diametral pitch, not both; without either there is no center distance', () => {
  const calc = CALCULATORS.find((c) => c.id === 'gear-pair')!
  const ask = (moduleMm: number | null, pitch: number | null) =>
    answerOf(calc, { ...exampleOf(calc), moduleMm, pitch })
  const center = (a: ReturnType<typeof ask>) =>
    a.kind === 'results' ? a.results.find((r) => r.id === 'center')?.value : a.kind
  // Published beside the gear formula: 103 teeth, module 0.5 and 64 pitch.
  expect(center(ask(0.5, null))).toBeCloseTo(25.75, 9)
  expect(center(ask(null, 64))).toBeCloseTo(20.4390625, 9)
  expect(center(ask(null, null))).toBeUndefined()
  expect(ask(0.5, 48)).toMatchObject({ kind: 'refused', refusal: { field: 'Or diametral pitch' } })
})

test('the unit examples come out as written', () => {
  const byHand = [
    165 * (0.45359237 / 16) * 9.80665 * 0.0254,
    ((180 - 32) * 5) / 9,
    3.25 * 25.4,
    (4.5 * 0.45359237 * 9.80665) / 25.4,
  ]
  expect(UNIT_EXAMPLES).toHaveLength(byHand.length)
  UNIT_EXAMPLES.forEach((example, i) => {
    const now = converted(example)
    expect(now.ok && now.value / (byHand[i] ?? NaN)).toBeCloseTo(1, 12)
    expect(example.is).toBe(Number(byHand[i]?.toPrecision(7)))
  })
})

test('the lap list’s example comes out as told', () => {
  const laps = [22.4, 22.6, 22.3, 31.0, 22.5]
  expect(parseLaps(LAP_EXAMPLE.list, 500)).toEqual({ laps, problems: [] })
  const s = lapStatistics(laps)
  const mean = 120.8 / 5
  const sd = Math.sqrt(laps.reduce((sum, lap) => sum + (lap - mean) ** 2, 0) / 4)
  // Sorted 22.3 22.4 22.5 22.6 31.0: middle 22.5; distances 0 0.1 0.1 0.2 8.5: middle 0.1. Best three: the first three.
  for (const [found, byHand] of [
    [s.sumS, 120.8],
    [s.meanS, mean],
    [isAbsent(s.sdS) ? NaN : s.sdS, sd],
    [s.medianS, 22.5],
    [s.madS, 0.1],
    [isAbsent(s.bestThreeConsecutiveS) ? NaN : s.bestThreeConsecutiveS, 67.3],
  ] as const) {
    expect(found).toBeCloseTo(byHand, 9)
    expect(says(LAP_EXAMPLE.text, byHand), String(byHand)).toBe(true)
  }
})
