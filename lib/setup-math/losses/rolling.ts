/**
 * Rolling resistance rises with speed: (c0 + c1 v) times the load. Source: the two-term form of SAE J2452 / ISO 28580 practice (from memory); a measured
 * 1/10 four-wheel-drive car has 0.034 + 0.005 v (steady speeds on a floor, computed from its log, read).
 */
export const rollingPerSpeedPrior = { perSpeed: [0.003, 0.0015] } as const

export const rollingN = (c0: number, c1: number, speedMps: number, loadN: number): number =>
  (c0 + c1 * speedMps) * loadN
