/**
 * Rolling resistance rises with speed: (c0 + c1 v) times the load. Source: the two-term form of SAE J2452 / ISO 28580 practice (from memory); a measured
 * 1/10 four-wheel-drive car has 0.034 + 0.005 v (steady speeds on a floor, computed from its log, read).
 */
export const rollingPerSpeedPrior = { perSpeed: [0.003, 0.0015] } as const

/** Coefficient at rest by surface, mean and one deviation. Common practice, no source (`usualRanges`). */
export const rollingPrior = {
  clay: [0.04, 0.01],
  astroturf: [0.052, 0.012],
  carpet: [0.03, 0.008],
  'dusty-dirt': [0.048, 0.011],
} as const

export const rollingN = (c0: number, c1: number, speedMps: number, loadN: number): number =>
  (c0 + c1 * speedMps) * loadN
