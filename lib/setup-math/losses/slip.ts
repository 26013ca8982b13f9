/**
 * Longitudinal slip of a driven tire over the use of its grip u (1 at the peak): k0 u / (1 - w u), w = 1 - k0 / peak. It starts at the slope of the slip
 * curve and reaches the peak slip at its peak, which makes motor line and tire solvable in closed form.
 * Source: similarity of normalised slip curves, Pacejka, Tire and Vehicle Dynamics, ch. 1.2 and 4.3 (from memory); against Burckhardt's curves it lies
 * within 0.039 of slip below 95% of the peak (tests).
 */
export interface SlipLaw {
  /** Slip per use of the grip at small slip: mu over the slip stiffness per load. 0.02 to 0.1. */
  initial: number
  /** Slip at the peak, 0.08 to 0.3. */
  peak: number
}

/** Common practice, no source: loose ground slips more than carpet. Mean and one deviation of the peak slip. */
export const peakSlipPrior = {
  clay: [0.18, 0.05],
  astroturf: [0.16, 0.04],
  carpet: [0.13, 0.03],
  'dusty-dirt': [0.22, 0.06],
} as const

/** Initial slip as a share of the peak's: a magic formula of shape 1.3 to 1.5 has 0.35 to 0.5 (its stiffness over its peak). */
export const initialOfPeak = 0.4

export const slipBend = ({ initial, peak }: SlipLaw): number => (peak > 0 ? 1 - initial / peak : 0)

/** Slip at a use of the grip below 1 / w. */
export const slipAtUse = (law: SlipLaw, use: number): number =>
  (law.initial * use) / (1 - slipBend(law) * use)

/** Burckhardt's slip curve mu(s) = c1 (1 - exp(-c2 s)) - c3 s. Source: Burckhardt 1993, in Kiencke, Nielsen, Automotive Control Systems, ch. 8 (from memory). */
export interface Burckhardt {
  c1: number
  c2: number
  c3: number
}
export const burckhardtMu = ({ c1, c2, c3 }: Burckhardt, slip: number): number =>
  c1 * (1 - Math.exp(-c2 * slip)) - c3 * slip

/** Where the curve peaks: c1 c2 exp(-c2 s) = c3; at full slip where it only rises. */
export function burckhardtPeak(curve: Burckhardt): { slip: number; mu: number } {
  const { c1, c2, c3 } = curve
  const slip = c3 > 0 ? Math.min(1, Math.log((c1 * c2) / c3) / c2) : 1
  return { slip, mu: burckhardtMu(curve, slip) }
}

/** The law with a Burckhardt curve's slope at nothing and peak. */
export function slipLawOf(curve: Burckhardt): SlipLaw {
  const { slip, mu } = burckhardtPeak(curve)
  return { initial: mu / (curve.c1 * curve.c2 - curve.c3), peak: slip }
}
