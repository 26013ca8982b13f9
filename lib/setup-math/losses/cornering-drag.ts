/**
 * A tire that corners pulls back: F_y sin(slip angle), the angle over the use of the lateral grip by the slip law's shape.
 * Source: Milliken, Race Car Vehicle Dynamics, ch. 2 (from memory). A 1.58 kg research car peaks at 10 to 15 degrees (DART, MIT, read).
 */
export const peakAnglePrior = {
  /** Degrees, mean and one deviation; common practice, no source, within the measured cars'. */
  degrees: [10, 2.5],
} as const

/** Force against the motion, N. `use` is v² / v_c² of the corner, `bend` the slip law's w, `peakRad` the angle at the peak. */
export function corneringDragN(lateralN: number, use: number, peakRad: number, bend: number): number {
  const angle = (peakRad * (1 - bend) * use) / (1 - bend * use)
  return lateralN * Math.sin(angle)
}
