/** A tire, per unit of load: peak friction at the reference load, how it falls with load, and the slips at which it peaks. */
export interface Tire {
  mu: number
  /** Share of mu lost when the load doubles. */
  loadSensitivity: number
  /** Slip ratio and slip angle, rad, at the peak. */
  peakSlip: number
  peakAngle: number
  /** Shape factor C of the magic formula, 1 to 2. */
  shape: number
  /** Stiffness factor B that puts the peak at 1: tan(pi / 2C). */
  stiffness: number
}

export interface TireForce {
  longitudinalN: number
  lateralN: number
  /** 1 at the peak. */
  use: number
}

/**
 * Combined slip by similarity: the slips, each over its own peak, make one slip; its force points along it. Pure slip is the magic formula
 * F = mu N sin(C atan(B x)), B so that it peaks at x = 1.
 * Source: Pacejka, Tire and Vehicle Dynamics, ch. 4.3 and 1.2 (similarity and normalised slip), from memory.
 *
 * @param along slip ratio (wheel over ground, positive driving), `across` tangent of the slip angle
 */
export function tireForce(
  tire: Tire,
  loadN: number,
  referenceN: number,
  along: number,
  across: number,
  out: TireForce,
): void {
  const x = along / tire.peakSlip
  const y = across / tire.peakAngle
  const rho = Math.sqrt(x * x + y * y)
  out.use = rho
  if (rho < 1e-9 || loadN <= 0) {
    out.longitudinalN = 0
    out.lateralN = 0
    return
  }
  const mu = tire.mu * (1 - tire.loadSensitivity * (loadN / referenceN - 1))
  const force = Math.max(0, mu) * loadN * Math.sin(tire.shape * Math.atan(tire.stiffness * rho))
  out.longitudinalN = (force * x) / rho
  out.lateralN = (-force * y) / rho
}
