import { expect, test } from 'vitest'
import { airProperties, canToAmbient, nusseltCylinder } from '@/lib/setup-math'

const can = { diameterMm: 36, lengthMm: 52, airC: 22, canC: 70 }

test('more air cools more, and no air speed is refused', () => {
  const at = (airSpeedMps: number) => canToAmbient({ ...can, airSpeedMps })
  expect([1.5, 3, 6, 12].map(at)).toEqual([1.5, 3, 6, 12].map(at).sort((a, b) => b - a))
  expect(() => at(0)).toThrow('airSpeedMps')
})

test('radiation is a small part, and none at all by choice', () => {
  const bare = canToAmbient({ ...can, airSpeedMps: 3, emissivity: 0 })
  const black = canToAmbient({ ...can, airSpeedMps: 3, emissivity: 1 })
  expect(black).toBeLessThan(bare)
  expect(1 / black - 1 / bare).toBeLessThan(0.25 / bare)
  // By hand: mantle and one end are 5.881e-3 + 1.018e-3 m², h is Nu k / D at 46 °C.
  const air = airProperties(46)
  const h =
    (nusseltCylinder({ reynolds: (3 * 0.036) / air.kinematicViscosityM2PerS, prandtl: air.prandtl }) *
      air.conductivityWPerMK) /
    0.036
  expect(1 / bare).toBeCloseTo(h * 6.899e-3, 4)
})
