/**
 * Body and wing press by rho C_l A v² / 2, on load and grip. Common practice, no source: C_l A 0.005 to 0.025 m². What lift costs in drag is in the drag area;
 * induced drag alone is C_l² / (pi e AR). Source: Anderson, Fundamentals of Aerodynamics, ch. 5 (from memory).
 */
export const liftPrior = { areaM2: [0.012, 0.006] } as const

export const inducedDragCoefficient = (lift: number, aspectRatio: number, efficiency = 1): number =>
  lift ** 2 / (Math.PI * efficiency * aspectRatio)
