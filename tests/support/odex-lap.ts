import { createRequire } from 'node:module'
import type { Car, Track } from '@/lib/setup-math'
import { planLap } from '@/lib/setup-math/lap/lap-plan'
import { prepareCar } from '@/lib/setup-math/lap/prepared-car'
import { noResistance, resistanceAt } from '@/lib/setup-math/lap/resistance'

/** odex ships TypeScript sources that strict settings refuse; this is the part of it that is used here. */
interface OdexSolver {
  absoluteTolerance: number
  relativeTolerance: number
  denseOutput: boolean
  maxSteps: number
  solve(
    f: (t: number, y: number[]) => number[],
    from: number,
    y: number[],
    to: number,
    seen?: (
      n: number,
      before: number,
      now: number,
      y: number[],
      dense: (i: number, t: number) => number,
    ) => boolean | undefined,
  ): { y: number[]; nEval: number }
}
const { Solver } = createRequire(import.meta.url)('odex') as { Solver: new (n: number) => OdexSolver }

/**
 * The same lap by a general-purpose adaptive solver: the equations written once more with their kinks left in (min, max and the turbo's clock as
 * a state), speed limits and the way of braking taken from the plan, ends found on dense output. Charge carries; heat too.
 */
export function odexLap(
  car: Car,
  track: Track,
  tolerance: number,
  entrySpeedMps: number,
): { timeS: number; evaluations: number; speedMps: number } {
  const c = prepareCar(car)
  const { tasks } = planLap(c, track)
  const table = car.pack.restVoltageTable
  let y = [entrySpeedMps, 0, 0, c.startC, c.startC, 0]
  let timeS = 0
  let evaluations = 0
  const cellVolts = (soc: number) => {
    let i = 0
    while (i < table.length - 2 && soc > (table[i + 1]?.[0] ?? 1)) i++
    const [a, b] = [table[i] ?? [0, 0], table[i + 1] ?? [1, 0]]
    return a[1] + ((b[1] - a[1]) * (soc - a[0])) / (b[0] - a[0])
  }
  for (const task of tasks) {
    const inCorner = Number.isFinite(task.cornerSpeedMps)
    const forces = (s: number[]) => {
      const [v, , q, winding, , held] = s as [number, number, number, number, number, number]
      const rpm = (v * c.motorPerSpeed * 30) / Math.PI
      let deg = c.extraTimingDeg
      if (c.boost)
        deg +=
          c.boost.degrees *
          Math.min(1, Math.max(0, (rpm - c.boost.startRpm) / (c.boost.endRpm - c.boost.startRpm)))
      if (c.turbo)
        deg += Math.min(c.turbo.degrees, Math.max(0, (held - c.turbo.delayS) * c.turbo.rampDegPerS))
      const gained = 1 + c.gainPerDegree * deg
      const kt = c.ktNmPerA / gained
      const idle = c.noLoadA * gained ** 2
      const rm = c.windingOhm * (c.thermal ? 1 + c.copperCoefficient * (winding - 25) : 1)
      const rest = c.cells * cellVolts(c.startSoc - q / c.coulombs)
      const emf = kt * v * c.motorPerSpeed
      const series = rm + c.controllerOhm
      const volts = rest - c.accessoryA * c.packOhm
      const full = Math.min(c.limitA, (volts - emf) / (series + c.packOhm))
      const perA = kt * c.motorPerSpeed * c.efficiency
      const resistance = resistanceAt(c, task, v, noResistance())
      const used = inCorner ? Math.min(1, (v / task.cornerSpeedMps) ** 2) : 0
      const circle = Math.sqrt(1 - used * used * (1 - task.holdShare ** 2))
      const mu = task.mu * (circle - task.holdShare)
      const pulls = inCorner ? 0 : resistance
      let a = (mu * c.drivenLoadN - pulls) / (c.contactKg - mu * c.transferKg)
      if (c.transferKg > 0 && c.drivenLoadN + c.transferKg * a > c.weightN)
        a = (mu * c.weightN - pulls) / c.contactKg
      const gripForce = a * c.inertiaKg + resistance
      const motorForce = (full - idle) * perA
      const gripping = motorForce > gripForce
      const force = Math.min(gripForce, motorForce)
      const current = force / perA + idle
      const need = current * series + emf
      const duty = Math.min(
        1,
        (2 * need) / (volts + Math.sqrt(Math.max(0, volts ** 2 - 4 * c.packOhm * current * need))),
      )
      return {
        force,
        resistance,
        current,
        rm,
        kt,
        idle,
        battery: duty * current + c.accessoryA,
        gripping,
        held,
      }
    }
    const rates = (_t: number, s: number[]): number[] => {
      const f = forces(s)
      const [v, , , winding, can] = s as [number, number, number, number, number]
      const clock = f.gripping && f.held <= (c.turbo?.delayS ?? 0) ? (inCorner ? 0 : c.exitTriggerShare) : 1
      const th = c.thermal
      const flow = th ? (winding - can) / th.toCan : 0
      return [
        (f.force - f.resistance) / c.inertiaKg,
        v,
        f.battery,
        th ? (f.current ** 2 * f.rm - flow) / th.windingJPerK : 0,
        th
          ? (f.kt * f.idle * v * c.motorPerSpeed + flow - (can - c.ambientC) / th.toAmbient) / th.canJPerK
          : 0,
        clock,
      ]
    }
    y[1] = 0
    if (inCorner && forces(y).gripping) y[5] = 0
    const brakes = task.exitSpeedLimitMps < task.cornerSpeedMps * (1 - 1e-12)
    const past = (v: number, x: number) =>
      Math.max(
        x - task.lengthM,
        brakes ? v * v - task.braking.speed2(Math.max(0, task.lengthM - x)) : -Infinity,
      )
    let end = 0
    if (past(y[0] ?? 0, 0) < -1e-9) {
      const solver = new Solver(6)
      solver.absoluteTolerance = tolerance
      solver.relativeTolerance = tolerance
      solver.denseOutput = true
      solver.maxSteps = 100_000
      const result = solver.solve(rates, 0, y, 1000, (n, before, now, s, dense) => {
        if (n === 1 || past(s[0] ?? 0, s[1] ?? 0) < 0) return undefined
        let [lo, hi] = [before, now]
        for (let i = 0; i < 60 && hi - lo > 1e-14; i++) {
          const mid = (lo + hi) / 2
          if (past(dense(0, mid), dense(1, mid)) < 0) lo = mid
          else hi = mid
        }
        end = hi
        y = y.map((_, i) => dense(i, hi))
        return false
      })
      evaluations += result.nEval
    }
    timeS += end
    const [v, x] = [y[0] ?? 0, y[1] ?? 0]
    if (x < task.lengthM - 1e-9) {
      const seconds = task.braking.seconds(task.lengthM - x, v)
      timeS += seconds
      y[2] = (y[2] ?? 0) + c.accessoryA * seconds
      y[0] = task.exitSpeedLimitMps
      y[5] = 0
    }
  }
  return { timeS, evaluations, speedMps: y[0] ?? 0 }
}
