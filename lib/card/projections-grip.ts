import { g, restVoltage, torqueConstant, triggerForDuty, type Car } from '../setup-math'

export interface GripTrigger {
  /** Share of the trigger at which the driven wheels let go; null when full trigger does not break them loose. */
  trigger: number | null
  /** Steady duty there, 0..1. */
  duty: number | null
}

/**
 * How far the trigger can be pulled at a speed before the driven wheels let go, steady state: the wheel force at a duty against mu times the
 * load on the driven wheels, with the load that acceleration moves onto a driven rear axle, F = mu W_r / (1 - mu h / L) (Gillespie,
 * Fundamentals of Vehicle Dynamics, ch. 2, from memory). Motor, chopper and pack as in setup-math's lap.
 */
export function gripTrigger(car: Car, speedMps: number, surface = 1): GripTrigger {
  const mu = car.grip * surface
  const weight = car.massKg * g
  const lift = car.driven === '4wd' ? 0 : (mu * car.cgHeightM) / car.wheelbaseM
  const load = car.driven === '4wd' ? weight : weight * (1 - car.frontStaticShare)
  // With mu h / L at 1 the front leaves the ground first: the whole weight is then on the driven wheels.
  const limitN = lift < 1 ? Math.min(mu * weight, (mu * load) / (1 - lift)) : mu * weight
  const ratio = (car.spur / car.pinion) * car.internalRatio
  const radius = car.tireDiameterMm / 2000
  const gain = 1 + (car.advanceGainPerDegree ?? 0) * (car.motor.extraTimingDeg ?? 0)
  const kt = torqueConstant(car.motor.kvRpmPerVolt * gain)
  const omega = (speedMps / radius) * ratio
  const volts = car.pack.cells * restVoltage(car.pack.restVoltageTable, car.pack.stateOfCharge ?? 1)
  const rp = car.pack.resistanceOhm
  const r = car.motor.resistanceOhm + (car.controller?.resistanceOhm ?? 0)
  const limitA = car.controller?.currentLimitA || Infinity
  const force = (duty: number) => {
    const amps = Math.min(
      limitA,
      (duty * (volts - (car.accessoryCurrentA ?? 0) * rp) - kt * omega) / (r + duty ** 2 * rp),
    )
    return (kt * (amps - car.motor.noLoadCurrentA) * ratio * car.driveEfficiency) / radius
  }
  if (force(1) < limitN) return { trigger: null, duty: null }
  let [lo, hi] = [0, 1]
  for (let i = 0; i < 40; i++) {
    const mid = (lo + hi) / 2
    if (force(mid) < limitN) lo = mid
    else hi = mid
  }
  return { duty: hi, trigger: triggerForDuty(car.controller?.trigger ?? {}, hi) ?? null }
}
