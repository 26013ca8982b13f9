/**
 * Copper feels the mean square of the current. The commutation of a brushless motor ripples it by a fixed factor; the chopper adds a triangle of height
 * V d (1 - d) / (L f), whose mean square is a twelfth of it squared. Source: Mohan, Undeland, Robbins, Power Electronics, ch. 7 (from memory).
 */
export const ripplePrior = {
  /** Mean square over square of the mean, commutation. Common practice, no source. */
  formFactor2: [1.1, 0.05],
  /** Inductance between two leads at 3000 rpm/V, H; in proportion to the square of the turns, so to 1 / Kv². Common practice, no source. */
  inductanceH: [1e-5, 3e-6],
  driveFrequencyHz: [16_000, 6000],
} as const

export function chopRippleA2(volts: number, duty: number, inductanceH: number, frequencyHz: number): number {
  const swing = (volts * duty * (1 - duty)) / (inductanceH * frequencyHz)
  return (swing * swing) / 12
}
