/**
 * Loss torque of a motor that carries nothing: one part constant (hysteresis, friction), one in proportion to speed (eddy currents, windage), both rising with
 * timing. So the loss goes with speed and with its square. Source: Steinmetz 1892, Bertotti, Hysteresis in Magnetism (1998); from memory. The shares are
 * common practice, no source.
 */
export const ironPrior = {
  /** Share of the no-load current, at the speed at which it was read, that goes with speed. Mean and one deviation. */
  speedShare: [0.4, 0.12],
  /** Rise of the loss torque per degree of timing. */
  risePerDegree: [0.02, 0.008],
} as const

/** Loss torque as a multiple of the one read. */
export const ironFactor = (speedShare: number, speedOverRead: number, rises: number): number =>
  (1 - speedShare + speedShare * speedOverRead) * rises
