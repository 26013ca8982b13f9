/**
 * The slow part of a pack's sag: two pairs of resistor and capacitor behind its ohmic resistance, so that the voltage a minute after the run is not the one
 * under load. Source: Chen, Rincon-Mora, IEEE Trans. Energy Conversion 21 (2006) 504-511 (from memory).
 */
export interface SlowSag {
  ohm: number
  seconds: number
}

/** Whole pack, mean and one deviation. Common practice, no source: in proportion to the ohmic part, with time constants like Chen and Rincon-Mora's. */
export const slowSagPrior = {
  shortMilliohm: [2, 0.7],
  shortS: [20, 8],
  longMilliohm: [2.6, 1],
  longS: [230, 80],
} as const

/** The pair's voltage after `seconds` of a steady current, exactly. */
export const slowSagAfter = (pair: SlowSag, volts: number, amps: number, seconds: number): number => {
  const left = Math.exp(-seconds / pair.seconds)
  return volts * left + amps * pair.ohm * (1 - left)
}

/**
 * Chen and Rincon-Mora's fits of an 850 mAh cell over state of charge: series, short and long resistance, ohm, and their capacitances, F.
 * Source: the same paper, eq. 2 to 6 (from memory).
 */
export function chenRinconMora(soc: number) {
  const series = 0.1562 * Math.exp(-24.37 * soc) + 0.07446
  const short = {
    ohm: 0.3208 * Math.exp(-29.14 * soc) + 0.04669,
    farad: -752.9 * Math.exp(-13.51 * soc) + 703.6,
  }
  const long = { ohm: 6.603 * Math.exp(-155.2 * soc) + 0.04984, farad: -6056 * Math.exp(-27.12 * soc) + 4475 }
  const open = -1.031 * Math.exp(-35 * soc) + 3.685 + 0.2156 * soc - 0.1178 * soc ** 2 + 0.3201 * soc ** 3
  return { openV: open, seriesOhm: series, short, long }
}
