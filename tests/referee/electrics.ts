/** Motor, bridge and pack, with losses that a motor line does not have. */
export interface Electrics {
  kvRpmPerVolt: number
  /** At 25 °C, line to line. */
  windingOhm: number
  /** Mean square over square of the mean of the phase current: commutation's ripple. */
  formFactor2: number
  inductanceH: number
  driveFrequencyHz: number
  /** Coulomb friction and hysteresis, Nm, and eddy currents with windage, Nm s; both at the motor's zero timing. */
  coulombNm: number
  eddyNmS: number
  /** Rise of both per degree of timing, and of Kv. */
  lossPerDegree: number
  kvPerDegree: number
  timingDeg: number
  /** A at which the torque constant has fallen by half of a quarter: kt / (1 + (I / saturationA)² / 8). */
  saturationA: number
  magnetPerKelvin: number
  bridgeOhm: number
  deadTimeV: number
  /** Charge lost per switching, C: W = V Q f. */
  switchingC: number
  limitA: number
  accessoryA: number
  cells: number
  capacityAh: number
  packOhm: number
  /** Slow parts of the sag: ohm and s. */
  slow1Ohm: number
  slow1S: number
  slow2Ohm: number
  slow2S: number
  startSoc: number
  /** State of charge, volts per cell; rows evenly spaced from 0 to 1. */
  restVolts: readonly (readonly [number, number])[]
  /** Braking: share that comes back at high speed, and the motor speed, rad/s, at which half of it does. */
  returnShare: number
  returnHalfRadS: number
  windingJPerK: number
  canJPerK: number
  windingToCanKPerW: number
  /** Can to air at standstill and how it improves with speed: 1/R = a + b sqrt(v). */
  coolingWPerK: number
  coolingPerRootSpeed: number
  airC: number
  turbo: { degrees: number; delayS: number; rampDegPerS: number } | null
}

export interface ElectricState {
  motorA: number
  batteryA: number
  packV: number
  restV: number
  shaftNm: number
  /** W. */
  copperW: number
  ironW: number
  bridgeW: number
  packW: number
  /** Electrical or heat of the brake that is neither copper nor returned, into controller and can. */
  brakeRestW: number
}

export function restVoltsOf(e: Electrics, soc: number): number {
  const table = e.restVolts
  // The table's rows are evenly spaced.
  const i = Math.max(0, Math.min(table.length - 2, Math.floor(soc * (table.length - 1))))
  const [s0, v0] = table[i] as readonly [number, number]
  const [s1, v1] = table[i + 1] as readonly [number, number]
  return e.cells * (v0 + ((v1 - v0) * (soc - s0)) / (s1 - s0))
}

/**
 * Currents, torque and losses at a motor speed and a command, -1 (full brake, `brakeNm` at most) to 1 (full duty).
 * The bridge chops: d V - (1 - d) Vd = I R + ke w, with the pack's own drop by d I + Ia. Ripple adds V² d² (1-d)² / (12 L² f²) to I².
 */
export function electricsAt(
  e: Electrics,
  omega: number,
  command: number,
  brakeNm: number,
  degrees: number,
  drawnC: number,
  slowV: number,
  windingC: number,
  canC: number,
  out: ElectricState,
): void {
  const rest = restVoltsOf(e, e.startSoc - drawnC / (3600 * e.capacityAh)) - slowV
  out.restV = rest
  const gained = 1 + e.kvPerDegree * degrees
  const magnet = 1 + e.magnetPerKelvin * (canC - 25)
  const ke = ((60 / (2 * Math.PI * e.kvRpmPerVolt)) * magnet) / gained
  const ohm = e.windingOhm * (1 + 0.00393 * (windingC - 25))
  const series = ohm * e.formFactor2 + e.bridgeOhm
  const rises = 1 + e.lossPerDegree * (e.timingDeg + degrees)
  const spins = omega > 0 ? 1 - Math.exp(-omega / 20) : 0
  const lossNm = (e.coulombNm + e.eddyNmS * omega) * rises * spins
  out.ironW = lossNm * omega
  out.brakeRestW = 0
  if (command < 0) {
    const torque = -command * brakeNm * spins
    const mechanical = torque * omega
    const amps = torque / ke
    const back = mechanical * ((e.returnShare * omega) / (omega + e.returnHalfRadS))
    const copper = Math.min(mechanical - back, amps * amps * series)
    const backA = back / Math.max(1, rest)
    out.motorA = -amps
    out.batteryA = e.accessoryA - backA
    out.packV = rest - out.batteryA * e.packOhm
    out.shaftNm = -torque - lossNm
    out.copperW = copper
    // What comes back is taken at the rest voltage; the terminal's difference is the bridge's.
    out.bridgeW = back - backA * out.packV
    out.brakeRestW = mechanical - back - copper
    out.packW = out.batteryA * out.batteryA * e.packOhm
    return
  }
  const d = Math.min(1, command)
  let amps = 0
  let duty = d
  if (d > 0) {
    const free = rest - e.packOhm * e.accessoryA
    amps = (d * free - (1 - d) * e.deadTimeV - ke * omega) / (series + d * d * e.packOhm)
    if (amps > e.limitA) {
      // The controller eases the duty until the current is its limit; two steps of fixed point are enough.
      amps = e.limitA
      for (let k = 0; k < 3; k++)
        duty = (amps * (series + duty * duty * e.packOhm) + ke * omega + e.deadTimeV) / (free + e.deadTimeV)
      duty = Math.min(1, Math.max(0, duty))
    }
    // A bridge with diodes does not brake when the trigger is eased.
    if (amps < 0) amps = 0
  }
  const swing = (rest * duty * (1 - duty)) / (e.inductanceH * e.driveFrequencyHz)
  const ripple2 = amps > 0 ? (swing * swing) / 12 : 0
  const extraW = ripple2 * ohm + (amps > 0 && duty < 1 ? rest * e.switchingC * e.driveFrequencyHz : 0)
  const saturated = 1 / (1 + (amps / e.saturationA) ** 2 / 8)
  out.motorA = amps
  out.batteryA = duty * amps + extraW / Math.max(1, rest) + e.accessoryA
  out.packV = rest - out.batteryA * e.packOhm
  // The volts that saturation takes from the torque are lost in the iron.
  out.shaftNm = ke * saturated * amps - lossNm
  out.ironW += ke * (1 - saturated) * amps * omega
  out.copperW = amps * amps * ohm * e.formFactor2 + ripple2 * ohm
  const electrical = out.packV * (out.batteryA - e.accessoryA)
  out.bridgeW = electrical - ke * amps * omega - out.copperW
  out.packW = out.batteryA * out.batteryA * e.packOhm
}
