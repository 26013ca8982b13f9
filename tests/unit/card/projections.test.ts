import { expect, test } from 'vitest'
import { addRecord, changeRecord } from '@/lib/board'
import {
  carOf,
  inputLabel,
  lapProjections,
  quickProjections,
  valuesOf,
  type CardProjections,
  type ProjectionBasis,
} from '@/lib/card'
import { canToAmbient, errorPriors, simulateLap } from '@/lib/setup-math'
import { trackOf } from '@/lib/card'
import { projectionBoard } from '../../support/projection-board'
import { must } from '../../support/must'

const of = (p: CardProjections, id: string) => {
  const found = p.figures.find((f) => f.id === id)
  if (!found) throw new Error(`no figure ${id} among ${p.figures.map((f) => f.id).join(', ')}`)
  return found
}
const input = (b: ProjectionBasis, id: string) => b.inputs.find((i) => i.id === id)

test('final drive ratio and rollout are those of the gear formulas', () => {
  // Arithmetic: 72/31 x 2.6 = 6.03870968; pi x 83 / 6.03870968 = 43.1801170 mm.
  const q = quickProjections(projectionBoard().basis())
  expect(of(q, 'finalDrive').value).toBeCloseTo(6.03870968, 7)
  expect(of(q, 'rollout').value).toBeCloseTo(43.180117, 6)
  expect(q.problem).toBeNull()
})

test('no-load speed is Kv times the voltage behind the resistance, over the rollout', () => {
  // By hand: (8.4 - 2 x 0.030) V x 2200 rpm/V = 18348 rpm; / 60 x 43.180117 mm = 13.2044798 m/s.
  expect(of(quickProjections(projectionBoard().basis()), 'noLoadSpeed').value).toBeCloseTo(13.20448, 4)
})

test('the ± of the rollout is that of the tire alone, and says so', () => {
  const p = of(quickProjections(projectionBoard().basis()), 'rollout')
  // 0.3 mm of 83 mm, times 1.645, of 43.18 mm.
  expect(p.plusMinus).toBeCloseTo((43.180117 * 1.645 * 0.3) / 83, 4)
  expect(p.rests).toEqual([{ id: 'tireDiameterMm', share: 1 }])
})

test('every default that nobody measured is among the inputs, as assumed', () => {
  const basis = projectionBoard().basis()
  for (const id of [
    'packMilliohm',
    'leadsMilliohm',
    'accessoryA',
    'airC',
    'canToAirKPerW',
    'trackScalePercent',
  ])
    expect(input(basis, id)?.source).toBe('assumed')
  expect(input(basis, 'kv')).toMatchObject({ source: 'kit', value: 2200 })
  expect(input(basis, 'pinion')).toMatchObject({ source: 'card', sd: 0 })
  expect(input(basis, 'grip')).toMatchObject({ source: 'track', value: 1.05 })
})

test('a motor that nobody measured cools as its can does in air at 2 to 6 m/s, and is as heavy as it is', () => {
  const basis = projectionBoard().basis()
  const at = (airSpeedMps: number) =>
    canToAmbient({ diameterMm: 36, lengthMm: 52, airSpeedMps, airC: 22, canC: 70 })
  const { value = 0, sd = 0 } = input(basis, 'canToAirKPerW') ?? {}
  // Rounded to halves: the air speed under a body is a guess.
  for (const [speed, k] of [
    [3, value],
    [2, value + sd],
    [6, value - sd],
  ] as const)
    expect(Math.abs(at(speed) - k), `${speed} m/s`).toBeLessThan(0.25)
  // 180 g of metal at 0.4 to 0.6 J/(g K), winding and can together.
  const { thermal } = carOf(basis, valuesOf(basis)).motor
  if (!thermal) throw new Error('no thermal data')
  const capacity =
    thermal.windingTimeConstantS / thermal.windingToCanKPerW +
    thermal.canTimeConstantS / thermal.canToAmbientKPerW
  expect(capacity).toBeGreaterThan(0.4 * 180)
  expect(capacity).toBeLessThan(0.6 * 180)
})

test('the day’s own grip and air count before the track’s and the usual', () => {
  const b = projectionBoard()
  const stamp = (v: number, at: number) => ({ v, by: 'manager', at: Date.UTC(2026, 4, 2, at) })
  must(addRecord(b.m, 'meeting', 'conditions', { grip: stamp(0.9, 8), airC: stamp(14, 8) }))
  must(addRecord(b.m, 'meeting', 'conditions', { grip: stamp(0.8, 10) }))
  const basis = b.basis()
  expect(input(basis, 'grip')).toMatchObject({ source: 'conditions', value: 0.8 })
  expect(input(basis, 'airC')).toMatchObject({ source: 'conditions', value: 14 })
  // Dry air at 14 °C and 101 325 Pa: 1.2293 kg/m³ (ideal gas, R 287.05).
  expect(carOf(basis, valuesOf(basis)).airDensityKgM3).toBeCloseTo(1.2293, 3)
})

test('speed-control values are read through the make’s own units', () => {
  const basis = projectionBoard().basis()
  expect(input(basis, 'turboDelayS')?.value).toBeCloseTo(0.1, 12)
  expect(input(basis, 'turboRampDegPerS')?.value).toBe(100)
})

test('a value of the speed control goes by the team’s own label, and everything else by the trade’s', () => {
  const { inputs } = projectionBoard().basis()
  expect(inputLabel('turboDelayS', inputs)).toBe('Wait')
  expect(inputLabel('pinion', inputs)).toBe('Pinion')
})

test('the card’s lap is setup-math’s lap of the same car, with what drivers leave of it', () => {
  const basis = projectionBoard().basis()
  const own = simulateLap(
    carOf(basis, valuesOf(basis)),
    trackOf(basis.segments ?? [], 1, valuesOf(basis).bumpsN),
  )
  const left = Math.exp(errorPriors.lap.mean)
  const lap = of(lapProjections(basis, false), 'lap')
  expect('timeS' in own && Math.abs(own.timeS * left - (lap.value ?? 0))).toBeLessThan(1e-4)
})

test('a shorter turbo delay fires on more straights, and the longer one’s text says which', () => {
  const b = projectionBoard()
  const fires = (ms: number) => of(lapProjections(b.basis({ [`esc.${b.dials.delay}`]: ms }), false), 'turbo')
  const [longest, long, short] = [fires(900), fires(600), fires(50)]
  expect(long.value).toBeLessThanOrEqual(short.value ?? 0)
  expect(longest.value).toBeLessThan(short.value ?? 0)
  expect(short.detail).toMatch(/^Fires on Long \(arrives \d+\.\d\d m\/s faster at Hairpin\)/)
  const names = (text: string) => ['Long', 'Middle', 'Short'].filter((n) => text.includes(n))
  expect(names(short.detail).length).toBeGreaterThan(0)
})

test('turbo off is said, and dynamic timing where the class forbids it is an alarm', () => {
  const b = projectionBoard()
  must(changeRecord(b.m, 'meeting', 'classes', b.classId, { dynamicTimingAllowed: false }))
  expect(of(quickProjections(b.basis()), 'timing')).toMatchObject({ alarm: true, text: 'on' })
  const off = b.basis({ [`esc.${b.dials.turbo}`]: 0 })
  expect(of(quickProjections(off), 'timing')).toMatchObject({ alarm: false, text: 'off' })
  expect(of(lapProjections(off, false), 'turbo')).toMatchObject({ text: 'off' })
})

test('weight and voltage stand against the class’s rules, tolerance included', () => {
  const q = quickProjections(projectionBoard().basis())
  expect(of(q, 'weight')).toMatchObject({ value: expect.closeTo(34, 9), alarm: false })
  expect(of(q, 'voltage')).toMatchObject({ value: expect.closeTo(0.02, 9), alarm: false })
  const light = quickProjections(projectionBoard({ card: { weight: 1598 } }).basis())
  expect(of(light, 'weight')).toMatchObject({ value: expect.closeTo(-2, 9), alarm: true })
})

test('without a track or a motor the figures say what is missing, and gearing stands all the same', () => {
  const b = projectionBoard()
  must(changeRecord(b.m, 'kit', 'tracks', b.trackId, { segments: null }))
  expect(of(lapProjections(b.basis()), 'lap')).toMatchObject({ value: null })
  expect(of(lapProjections(b.basis()), 'lap').detail).toContain('track')
  must(changeRecord(b.m, 'kit', 'cars', b.carId, { motorId: null }))
  expect(b.basis().lacks).toEqual([{ what: 'the car’s motor', place: 'car' }])
  expect(of(quickProjections(b.basis()), 'rollout').value).toBeCloseTo(43.180117, 6)
})

test('Kv that nobody measured comes from a motor of the kind by the winding law, as assumed', () => {
  const b = projectionBoard()
  const other = must(addRecord(b.m, 'kit', 'motors', { name: 'New', kind: 'stock', turns: 13.5 }))
  must(changeRecord(b.m, 'kit', 'cars', b.carId, { motorId: other }))
  // Kv ~ 1/turns, R ~ turns²: 2200 x 17.5/13.5 and 30 x (13.5/17.5)².
  expect(input(b.basis(), 'kv')).toMatchObject({ source: 'assumed', value: expect.closeTo(2851.85, 1) })
  expect(input(b.basis(), 'motorMilliohm')).toMatchObject({ value: expect.closeTo(17.853, 2) })
})

test('nonsense is named with its range, in the card’s own words, and never becomes NaN', () => {
  const b = projectionBoard()
  const basis = b.basis()
  const bad = (id: string, value: number): ProjectionBasis => ({
    ...basis,
    inputs: basis.inputs.map((i) => (i.id === id ? { ...i, value } : i)),
  })
  expect(quickProjections(bad('pinion', 0)).problem).toMatchObject({ field: 'Pinion', value: '0' })
  expect(lapProjections(bad('stateOfChargePercent', 300)).problem).toMatchObject({
    field: 'State of charge at the start',
    value: '3',
  })
  const segments = basis.segments?.map((s, i) => (i === 1 ? { ...s, radiusM: -3 } : s)) ?? null
  expect(lapProjections({ ...basis, segments }).problem).toMatchObject({
    field: 'Hairpin, radius',
    value: '-3',
  })
  expect(lapProjections({ ...basis, segments }).figures).toEqual([])
})

test('figures of the lap carry a ±, its inputs’ shares sum to one at most, the largest first', () => {
  const p = lapProjections(projectionBoard().basis())
  for (const id of ['topSpeed', 'lap', 'chargeUsed', 'endVoltage', 'lowestVoltage', 'can']) {
    const f = of(p, id)
    expect(f.plusMinus, id).toBeGreaterThan(0)
    const shares = f.rests.map((r) => r.share)
    expect(shares).toEqual([...shares].sort((a, b) => b - a))
    expect(shares.reduce((a, b) => a + b, 0)).toBeLessThanOrEqual(1 + 1e-9)
  }
  expect(of(p, 'lap').rests[0]?.id).toBe('grip')
})

test('the result is laps in a time, the laps done when time is up a line of their own, and the counts have chances', () => {
  const basis = projectionBoard().basis()
  const p = lapProjections(basis)
  const [f, done] = [of(p, 'result'), of(p, 'lapsDone')]
  const [, laps = 0, minutes = 0, seconds = 0] = (/^(\d+) laps in (\d+):(\d\d\.\d)$/.exec(f.text) ?? []).map(
    Number,
  )
  expect(f).toMatchObject({ value: laps, plusMinusText: '' })
  // Laps done at 300 s by the mean lap of the text.
  expect(done.value).toBeCloseTo((300 * laps) / (60 * minutes + seconds), 2)
  expect(done.text).toMatch(/^\d+\.\d$/)
  expect(done.plusMinusText).toMatch(/^\d\.\d$/)
  const chances = [...f.detail.matchAll(/(\d+) laps with (\d+)%/g)].map((m) => [Number(m[1]), Number(m[2])])
  expect(chances.map(([n]) => n)).toContain(laps)
  expect(chances.reduce((sum, [, p]) => sum + (p ?? 0), 0)).toBeGreaterThanOrEqual(89)
  expect(of(lapProjections(basis, false), 'result')).toMatchObject({ text: f.text, plusMinusText: '' })
})

test('the pack’s lowest voltage says what the cutoff does, and no cutoff is an alarm', () => {
  const b = projectionBoard()
  const low = of(lapProjections(b.basis()), 'lowestVoltage')
  // Nobody has run this car yet: no sentence may say that the cutoff is not needed.
  expect(low.detail).not.toMatch(/does not act|to spare/)
  expect(low.detail).toMatch(
    /best case: it may go down to \d\.\d\d V per cell.*Leave the cutoff on\..*three runs/,
  )
  expect(low.caution).toBe('pack')
  const none = of(lapProjections(b.basis({ [`esc.${b.dials.cutoff}`]: 0 }), false), 'lowestVoltage')
  expect(none).toMatchObject({ alarm: true })
  expect(none.detail).toContain('No cutoff on this card')
  const high = of(lapProjections(b.basis({ [`esc.${b.dials.cutoff}`]: 4.1 }), false), 'lowestVoltage')
  expect(high.detail).toMatch(/acts on lap \d+, after \d+:\d\d\.\d/)
})

test('where the wheels let go is told in trigger, with softening and punch beside it', () => {
  const b = projectionBoard()
  const basis = { ...b.basis(), trigger: { softening: 0.3, softeningRange: 0.2, punchLimitPerS: 5 } }
  const p = of(lapProjections(basis, false), 'gripTrigger')
  expect(p.value).toBeGreaterThan(0)
  expect(p.detail).toMatch(/spin at \d+% of the trigger leaving \w+/)
  expect(p.detail).toContain('Softening')
  expect(p.detail).toContain('Punch')
  const sticky = { ...basis, inputs: basis.inputs.map((i) => (i.id === 'grip' ? { ...i, value: 8 } : i)) }
  expect(of(lapProjections(sticky, false), 'gripTrigger')).toMatchObject({ value: null, text: 'never' })
})

test('what the charger puts back is the race and, in lines of their own, what was driven around it', () => {
  const p = lapProjections(projectionBoard().basis())
  const value = (id: string) => of(p, id).value ?? Number.NaN
  expect(of(p, 'chargeUsed').detail).not.toContain('Compare')
  const outside = ['warmUp', 'toGrid', 'afterFlag'].map(value)
  for (const mah of outside) expect(mah).toBeGreaterThan(0)
  expect(value('putBack')).toBeCloseTo(
    outside.reduce((a, b) => a + b, value('chargeUsed')),
    6,
  )
  // 2, 0.5 and 1 easy laps at 60% of a race lap's charge.
  expect((outside[0] ?? 0) / (outside[1] ?? 1)).toBeCloseTo(4, 9)
})

test('the count of straights that turbo fires on has a spread of its own, and names what it hangs on', () => {
  // A delay about as long as full trigger lasts on the short straight.
  const b = projectionBoard()
  const counts = [300, 500, 700, 900].map((ms) =>
    of(lapProjections(b.basis({ [`esc.${b.dials.delay}`]: ms })), 'turbo'),
  )
  const open = counts.filter((c) => c.plusMinus > 0)
  expect(open.length).toBeGreaterThan(0)
  for (const c of open) {
    expect(c.plusMinusText).toMatch(/^[1-3]$/)
    expect(c.detail).toMatch(/In nine runs out of ten on \d to \d of them/)
    expect(c.rests.length).toBeGreaterThan(0)
  }
})

test('the no-load speed says what boost and turbo add, and no longer that no car reaches it', () => {
  const p = of(quickProjections(projectionBoard().basis()), 'noLoadSpeed')
  expect(p.detail).not.toContain('No car reaches it')
  // 10 degrees at 1% of Kv each: 2420 rpm/V, loss current 2 A x 1.21; (8.4 - 2.42 x 0.030) x 2420 / 60 x 43.180117 mm.
  expect(p.detail).toContain('with all of them 14.50 m/s')
})

test('before three runs with charge put back the lowest voltage is an upper bound; after them it is told by those runs; never that the cutoff is not needed', () => {
  const b = projectionBoard()
  const low = () => of(lapProjections(b.basis()), 'lowestVoltage')
  const first = low()
  for (let i = 0; i < 3; i++) {
    const heatId = must(
      addRecord(b.m, 'meeting', 'heats', {
        number: 10 + i,
        classId: b.classId,
        plannedStart: b.now - 3_600_000 * (4 - i),
        startedAt: { v: b.now - 3_600_000 * (4 - i), by: 'manager', at: b.now },
      }),
    )
    const runId = must(addRecord(b.m, 'meeting', 'entries', { heatId, carId: b.carId, driverName: 'Dana' }))
    const back = { v: 1900 + 20 * i, by: 'manager', at: b.now }
    must(changeRecord(b.m, 'meeting', 'runs', runId, { chargeBackMah: back }))
    if (i < 2) expect(low().detail).toContain('best case')
  }
  const after = low()
  expect(first.detail).toMatch(/best case.*three runs of this car \(0 so far\)/)
  expect(after.detail).toMatch(
    /^Nine runs out of ten stay above \d\.\d\d V per cell, by 3 runs of this car with charge put back/,
  )
  expect(after.detail).toContain('Leave the cutoff on')
  for (const text of [first.detail, after.detail]) expect(text).not.toMatch(/does not act|to spare|safe/)
  expect(
    of(lapProjections(b.basis()), 'chargeUsed').plusMinus /
      (of(lapProjections(b.basis()), 'chargeUsed').value ?? 1),
  ).toBeLessThan(0.12)
})

test('where the energy goes sums up to the mean power', () => {
  const p = of(lapProjections(projectionBoard().basis(), false), 'energy')
  const sum = (p.parts ?? []).reduce((s, x) => s + x.watts, 0)
  expect(p.parts?.length).toBeGreaterThan(8)
  expect(Math.abs(sum / (p.value ?? 1) - 1)).toBeLessThan(0.015)
  expect(p.parts?.map((x) => x.watts)).toEqual([...(p.parts ?? [])].map((x) => x.watts).sort((x, y) => y - x))
})
