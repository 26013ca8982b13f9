/**
 * What rough ground takes: pi² G_r k_t N per wheel, whatever the speed, where the profile's displacement spectrum is G_r n^-2 (n in 1/m) and k_t the tire's
 * vertical rate. Source: Zuo, Zhang, Energy harvesting, ride comfort and road handling of regenerative vehicle suspensions, J. Dyn. Sys. Meas. Control 135
 * (2013) 011002 (power = pi² G_r k_t v, from memory).
 */
export const bumpForceN = (roughnessM: number, tireRateNPerM: number, wheels = 4): number =>
  wheels * Math.PI ** 2 * roughnessM * tireRateNPerM

/** Common practice, no source: force on the whole car, N, mean and one deviation, by surface. */
export const bumpsPrior = {
  clay: [0.9, 0.4],
  astroturf: [0.7, 0.35],
  carpet: [0.3, 0.15],
  'dusty-dirt': [1.4, 0.6],
} as const
