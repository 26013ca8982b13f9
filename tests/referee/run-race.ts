import { speedPlan, type Driver } from './driver'
import { restVoltsOf } from './electrics'
import type { Path } from './path'
import { RungeKutta } from './runge-kutta'
import { at, slots, Vehicle, type RefereeCar } from './vehicle'

/** What a team could read off after a race, and the books. */
export interface RefereeRace {
  laps: number
  finishS: number
  lapSeconds: number[]
  meanLapS: number
  topMps: number
  chargeMah: number
  /** Volts per cell a minute after the finish. */
  endV: number
  /** Least volts per cell at the terminals, over 20 ms. */
  lowV: number
  canC: number
  windingC: number
  /** Energy given less energy lost and stored, over the energy given. */
  bookError: number
  meanW: number
  /** Furthest off the line, m. */
  offLineM: number
}

export interface RaceOptions {
  raceSeconds: number
  stepS?: number
  /** Seconds per lap that the driver's mood is drawn from; normal draws. */
  gauss: () => number
}

/** The car has turned round: a mistake, which a projection does not ask about. */
export class Spin extends Error {
  constructor(atS: number) {
    super(`the car spins after ${atS.toFixed(1)} s`)
  }
}

/**
 * What is driven without a spin: a driver who spins or leaves the line drives the next try with less of the grip, at most ten times. Whatever `drive` races, one
 * driver races all of it.
 * @throws Error when even then the car does not get round
 */
export function withoutSpin<T>(driver: Driver, drive: () => T): T {
  for (let calm = 0; ; calm++) {
    try {
      return drive()
    } catch (error) {
      if (calm === 10) throw error
      driver.nerve *= 0.96
      driver.slipTaken *= 0.95
      driver.caution = Math.min(0.8, driver.caution + 0.06)
    }
  }
}

/**
 * A race from a standing start by the classic Runge-Kutta scheme of order 4 at a fixed step; the lap under way when time is up is driven to its end.
 * @throws Error when the car does not get round
 */
export function runRace(car: RefereeCar, path: Path, options: RaceOptions): RefereeRace {
  const { raceSeconds, gauss } = options
  // The wheel's slip is stiff at a crawl: half the step there.
  const usualStep = options.stepS ?? 0.0035
  const c = car.chassis
  const plan = speedPlan(path, car.driver, {
    mu: Math.min(c.front.mu, c.rear.mu),
    topMps: 60,
    brakeShare:
      c.driven === '4wd'
        ? 0.95
        : ((1 - c.frontShare) / (1 + (c.rear.mu * c.cgHeightM) / c.wheelbaseM)) * 0.95,
  })
  const v = new Vehicle(car, path, plan)
  const y = new Float64Array(slots)
  y[at.windingC] = car.electrics.airC
  y[at.canC] = car.electrics.airC
  const mood = () => {
    v.lap = {
      pace: 1 + car.driver.uneven * gauss(),
      lateS: car.driver.lateS * Math.abs(gauss()),
    }
  }
  mood()
  const scheme = new RungeKutta(slots, (z, out) => v.rates(z, out))
  const lapSeconds: number[] = []
  let t = 0
  let lapBegan = 0
  let lapEnd = path.lengthM
  let topMps = 0
  let low = Infinity
  let filtered = restVoltsOf(car.electrics, car.electrics.startSoc)
  let held = 0
  let offLineM = 0
  const { turbo } = car.electrics
  for (;;) {
    const h = (y[at.vx] as number) < 4 ? usualStep / 2 : usualStep
    const before = y[at.s] as number
    scheme.begin(y)
    filtered += (v.electric.packV - filtered) * Math.min(1, h / 0.02)
    if (filtered < low) low = filtered
    if (turbo) {
      held = (y[at.trigger] as number) > 0.95 ? held + h : 0
      v.turboDeg = Math.min(turbo.degrees, Math.max(0, (held - turbo.delayS) * turbo.rampDegPerS))
    }
    scheme.step(y, h)
    t += h
    const vx = y[at.vx] as number
    if (vx > topMps) topMps = vx
    const off = Math.abs(y[at.n] as number)
    if (off > offLineM) offLineM = off
    if (!(Math.abs(y[at.psi] as number) < 1.3)) throw new Spin(t)
    if (!(off < 6) || t > raceSeconds + 200 || t - lapBegan > 150)
      throw new Error(`the car left the line by ${off.toFixed(1)} m, ${vx.toFixed(1)} m/s, ${t.toFixed(1)} s`)
    const s = y[at.s] as number
    if (s >= lapEnd) {
      const share = (lapEnd - before) / (s - before)
      const crossed = t - h + share * h
      lapSeconds.push(crossed - lapBegan)
      lapBegan = crossed
      lapEnd += path.lengthM
      mood()
      if (crossed >= raceSeconds) break
    }
  }
  const e = car.electrics
  const drawn = y[at.drawnC] as number
  const rests =
    restVoltsOf(e, e.startSoc - drawn / 3600 / e.capacityAh) -
    (y[at.slow1V] as number) * Math.exp(-60 / e.slow1S) -
    (y[at.slow2V] as number) * Math.exp(-60 / e.slow2S)
  const given = y[at.cellsJ] as number
  return {
    laps: lapSeconds.length,
    finishS: lapBegan,
    lapSeconds,
    meanLapS: lapBegan / lapSeconds.length,
    topMps,
    chargeMah: drawn / 3.6,
    endV: rests / e.cells,
    lowV: low / e.cells,
    canC: y[at.canC] as number,
    windingC: y[at.windingC] as number,
    bookError: (given - (y[at.lostJ] as number) - v.kineticJ(y)) / given,
    meanW: given / t,
    offLineM,
  }
}
