import type { Car, Track } from '@/lib/setup-math'
import { benchCar, benchTrack, lossyCar, lossyTrack } from './setup-math-cars'

/** Tracks and cars, unlike each other, on which the ledger is to close. Invented numbers within common practice. */
export const ledgerTracks: Record<string, Track> = {
  bench: benchTrack,
  lossy: lossyTrack,
  oval: {
    segments: [
      { kind: 'straight', lengthM: 20 },
      { kind: 'corner', radiusM: 3, arcDeg: 180 },
      { kind: 'straight', lengthM: 20, jumpM: 0.3 },
      { kind: 'corner', radiusM: 3, arcDeg: 180 },
    ],
    roughnessM: 2e-5,
  },
  sweeps: {
    segments: [
      { kind: 'straight', lengthM: 12, rough: 2 },
      { kind: 'corner', radiusM: 9, arcDeg: 200 },
      { kind: 'corner', radiusM: 2, arcDeg: 160, measuredSpeedMps: 4 },
    ],
    roughnessM: 1e-5,
  },
}

const rear: Car = { ...lossyCar, driven: '2wd', frontStaticShare: 0.38 }
export const ledgerCars: Record<string, Car> = {
  'four-wheel': lossyCar,
  rear,
  stock: {
    ...lossyCar,
    motor: { ...lossyCar.motor, kvRpmPerVolt: 2200, resistanceOhm: 0.042, noLoadCurrentA: 2.5 },
    pinion: 34,
  },
  slippery: { ...rear, grip: 0.5 },
  limited: { ...lossyCar, controller: { ...lossyCar.controller, currentLimitA: 40 } },
  plain: benchCar,
}
