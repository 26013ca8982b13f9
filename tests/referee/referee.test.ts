import { describe, expect, test } from 'vitest'
import { draws } from './draws'
import { drawSeason } from './draw-car'
import { lossless } from './lossless'
import { layPath, type PathPiece } from './path'
import { RungeKutta } from './runge-kutta'
import { runRace, withoutSpin } from './run-race'
import { tireForce } from './tire'
import { at, slots, Vehicle, type RefereeCar } from './vehicle'

const season = (seed: number) => drawSeason(draws(seed))
const piece = (lengthM: number, curvature: number): PathPiece => ({
  lengthM,
  curvature,
  grip: 1,
  rough: 0,
  jumpM: 0,
})

function driven(car: RefereeCar, pieces: PathPiece[], planMps: number, seconds: number, from = 0) {
  const path = layPath(pieces, 0, 0)
  const v = new Vehicle(car, path, new Float64Array(path.curvature.length).fill(planMps))
  const y = new Float64Array(slots)
  y[at.vx] = from
  y[at.wheel] = from / car.chassis.tireRadiusM
  y[at.windingC] = y[at.canC] = 25
  const scheme = new RungeKutta(slots, (z, out) => v.rates(z, out))
  for (let t = 0; t < seconds; t += 0.001) {
    scheme.begin(y)
    scheme.step(y, 0.001)
  }
  return { y, v }
}

describe('the referee’s own checks', () => {
  test('a tire’s force peaks at slip 1 with mu N, points along the slip, and falls beyond', () => {
    const tire = {
      mu: 1.1,
      loadSensitivity: 0.1,
      peakSlip: 0.15,
      peakAngle: 0.2,
      shape: 1.4,
      stiffness: Math.tan(Math.PI / 2.8),
    }
    const out = { longitudinalN: 0, lateralN: 0, use: 0 }
    const size = (x: number, y: number, load = 4) => {
      tireForce(tire, load, 4, x * 0.15, y * 0.2, out)
      return Math.hypot(out.longitudinalN, out.lateralN)
    }
    expect(size(1, 0)).toBeCloseTo(4.4, 9)
    expect(size(0.6, 0.8)).toBeCloseTo(4.4, 9)
    expect(out.longitudinalN / -out.lateralN).toBeCloseTo(0.75, 9)
    expect(size(0.7, 0)).toBeLessThan(4.4)
    expect(size(2, 0)).toBeLessThan(4.4)
    // Twice the load carries less than twice the force.
    expect(size(1, 0, 8)).toBeCloseTo(8 * 1.1 * 0.9, 9)
  })

  test('tires are as soft as measured ones: 90% of the force at 5 to 20 degrees (a measured car: 10 and 15), stiffness over grip 3.5 to 20 per radian (7 and 11)', () => {
    const out = { longitudinalN: 0, lateralN: 0, use: 0 }
    for (let seed = 500; seed < 560; seed++)
      for (const tire of [season(seed).car.chassis.front, season(seed).car.chassis.rear]) {
        const held = (degrees: number) => {
          tireForce(tire, 4, 4, 0, Math.tan((degrees * Math.PI) / 180), out)
          return -out.lateralN / (4 * tire.mu)
        }
        expect(held(5)).toBeLessThan(0.9)
        expect(held(20)).toBeGreaterThan(0.9)
        const perRadian = held(0.01) / ((0.01 * Math.PI) / 180)
        expect(perRadian).toBeGreaterThan(3.5)
        expect(perRadian).toBeLessThan(20)
      }
  })

  test('on an endless straight without losses the car reaches the motor’s no-load speed', () => {
    const { car } = season(3)
    const free = lossless(car)
    const e = free.electrics
    const volts = 2 * (e.restVolts.at(-1)?.[1] ?? 0)
    const limit =
      ((e.kvRpmPerVolt * volts * e.startSoc * 2 * Math.PI) / 60 / free.chassis.finalDrive) *
      free.chassis.tireRadiusM
    const { y } = driven(free, [piece(3000, 0)], 99, 60)
    // startSoc stands in for the voltage's place on the table: within its slope.
    expect((y[at.vx] ?? 0) / limit).toBeGreaterThan(0.97)
    expect((y[at.vx] ?? 0) / limit).toBeLessThan(1.04)
  })

  test('a 4WD launch stays below mu g and comes near it', () => {
    const four = Array.from({ length: 30 }, (_, i) => season(100 + i)).find(
      (s) => s.car.chassis.driven === '4wd' && s.kind === 'modified' && s.surface === 'clay',
    )
    if (!four) throw new Error('no such car among the seeds')
    const car = lossless(four.car)
    const { y } = driven(car, [piece(3000, 0)], 99, 0.6)
    const mean = (y[at.vx] ?? 0) / 0.6
    const g = 9.80665
    expect(mean).toBeLessThan(car.chassis.rear.mu * g * 1.02)
    expect(mean).toBeGreaterThan(0.6 * car.chassis.front.mu * g)
  })

  test.each([11, 12, 13])(
    'a steady circle: yaw rate is speed over radius, the tires’ forces are the centripetal one (seed %i)',
    (seed) => {
      const { car } = season(seed)
      const radius = 6
      const speed = 0.6 * Math.sqrt(car.chassis.front.mu * 9.81 * radius)
      const { y, v } = driven(car, [piece(2 * Math.PI * radius, 1 / radius)], speed, 12, speed)
      const out = new Float64Array(slots)
      v.rates(y, out)
      const going = Math.hypot(y[at.vx] ?? 0, y[at.vy] ?? 0)
      expect(Math.abs(y[at.n] ?? 9)).toBeLessThan(1)
      expect((y[at.yaw] ?? 0) * (radius - (y[at.n] ?? 0))).toBeCloseTo(going, 0)
      expect(Math.abs(((y[at.yaw] ?? 0) * (radius - (y[at.n] ?? 0))) / going - 1)).toBeLessThan(0.02)
      // Nothing of the lateral motion changes any more.
      expect(Math.abs(out[at.yaw] ?? 9)).toBeLessThan(0.2)
      // Slip angles: steer = L/R + front less rear (Milliken, steady state).
      const c = car.chassis
      const [a, b] = [c.wheelbaseM * (1 - c.frontShare), c.wheelbaseM * c.frontShare]
      const front = (y[at.steer] ?? 0) - Math.atan(((y[at.vy] ?? 0) + a * (y[at.yaw] ?? 0)) / (y[at.vx] ?? 1))
      const rear = -Math.atan(((y[at.vy] ?? 0) - b * (y[at.yaw] ?? 0)) / (y[at.vx] ?? 1))
      expect(y[at.steer]).toBeCloseTo((c.wheelbaseM * (y[at.yaw] ?? 0)) / going + front - rear, 2)
    },
  )

  test.each([1001, 1002, 1005, 1007, 1013])(
    'a race’s books close within half a percent and half the step moves the lap by less than 0.003 of it (seed %i)',
    (seed) => {
      const race = (stepS: number) => {
        const d = draws(seed)
        const s = drawSeason(d)
        // An even driver: moods fall on other steps when the step changes.
        s.car.driver.uneven = 0
        s.car.driver.lateS = 0
        return withoutSpin(s.car.driver, () =>
          runRace(s.car, s.path, { raceSeconds: 60, gauss: d.gauss, stepS }),
        )
      }
      const [coarse, fine] = [race(0.0035), race(0.00175)]
      for (const r of [coarse, fine]) expect(Math.abs(r.bookError)).toBeLessThan(0.005)
      expect(Math.abs(coarse.meanLapS / fine.meanLapS - 1)).toBeLessThan(0.003)
    },
  )

  test('it imports nothing from the library', async () => {
    const { readdirSync, readFileSync } = await import('node:fs')
    const here = new URL('.', import.meta.url)
    const files = readdirSync(here).filter(
      (f) => f.endsWith('.ts') && !f.includes('.test.') && !f.startsWith('as-') && f !== 'judge.ts',
    )
    expect(files.length).toBeGreaterThan(6)
    for (const file of files)
      for (const [, from] of readFileSync(new URL(file, here), 'utf8').matchAll(/from '([^']+)'/g))
        expect(from, file).toMatch(/^(\.\/|node:)/)
  })
})
