/**
 * Neodymium magnets weaken by 0.09 to 0.12% per kelvin, and Kt and the back-EMF with them; it comes back as they cool, unless they were too hot.
 * Source: makers' sheets of sintered NdFeB, reversible coefficient of B_r -0.12 to -0.09%/K (read, see `tests/reference`).
 */
export const magnetPrior = { perKelvin: [-0.0011, 0.00015] } as const

export const magnetFactor = (perKelvin: number, magnetC: number): number => 1 + perKelvin * (magnetC - 25)
