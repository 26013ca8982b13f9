/**
 * Bearings, belts and gears that turn take a torque of their own besides a share of what they carry.
 * Source: ISO/TR 14179-1 (no-load losses of gears and bearings apart from the load-dependent ones; from memory). Measured wheels up.
 * Nm at the wheels, mean and one deviation; common practice, no source.
 */
export const drivelinePrior = { '2wd': [0.018, 0.008], '4wd': [0.028, 0.01] } as const
