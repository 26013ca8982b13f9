/**
 * A tire that corners pulls back: F_y sin(slip angle). The angle grows in proportion to the use of the lateral grip: a measured 1.58 kg car drags 0.056 g at half
 * of its grip and 0.120 g at all of it (DART, MIT, read), which is more at half than a tire's curve alone gives; toe, steering geometry and gears have their part.
 * Source of the form: Milliken, Race Car Vehicle Dynamics, ch. 2 (from memory).
 */
export const peakAnglePrior = {
  /** Degrees at the grip's limit, mean and one deviation. Common practice, no source; the measured car’s two drags ask for 18 and 10. */
  degrees: [12, 2.5],
} as const

/** Force against the motion, N. `use` is v² / v_c² of the corner, `limitRad` the angle at the grip's limit. */
export const corneringDragN = (lateralN: number, use: number, limitRad: number): number =>
  lateralN * Math.sin(limitRad * use)
