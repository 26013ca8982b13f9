import type { Car } from '../lap/car'
import type { UncertainInput } from './with-uncertainty'

/** An uncertain member of a car: how to read it, how to put a value back, and how well it is usually known. */
interface CarQuantity {
  id: string
  name: string
  read: (car: Car) => number | undefined
  write: (car: Car, value: number) => Car
  /** Usual standard uncertainty as a share of the value. Common practice, no source: state your own where you have measured. */
  usualShare: number
  min: number
  max: number
  measure: string
}

const top = (
  key:
    | 'grip'
    | 'rollingCoefficient'
    | 'dragAreaM2'
    | 'massKg'
    | 'driveEfficiency'
    | 'tireDiameterMm'
    | 'accessoryCurrentA',
) => ({
  id: key,
  read: (car: Car) => car[key],
  write: (car: Car, value: number): Car => ({ ...car, [key]: value }),
})
const ofMotor = (key: 'kvRpmPerVolt' | 'resistanceOhm' | 'noLoadCurrentA') => ({
  id: `motor.${key}`,
  read: (car: Car) => car.motor[key],
  write: (car: Car, value: number): Car => ({ ...car, motor: { ...car.motor, [key]: value } }),
})
const ofPack = (key: 'resistanceOhm' | 'capacityAh') => ({
  id: `pack.${key}`,
  read: (car: Car) => car.pack[key],
  write: (car: Car, value: number): Car => ({ ...car, pack: { ...car.pack, [key]: value } }),
})

export const carQuantities: readonly CarQuantity[] = [
  {
    ...top('grip'),
    name: 'grip',
    usualShare: 0.06,
    min: 0.05,
    max: 5,
    measure: 'a clean lap’s time: fit the grip to it',
  },
  {
    ...top('rollingCoefficient'),
    name: 'rolling resistance',
    usualShare: 0.25,
    min: 0,
    max: 0.5,
    measure: 'a coast-down: distance rolled from a known speed',
  },
  {
    ...top('dragAreaM2'),
    name: 'drag area',
    usualShare: 0.2,
    min: 0,
    max: 1,
    measure: 'top speed on the longest straight',
  },
  {
    ...top('massKg'),
    name: 'mass',
    usualShare: 0.003,
    min: 0.1,
    max: 100,
    measure: 'the car on the scale, ready to run',
  },
  {
    ...top('driveEfficiency'),
    name: 'drive efficiency',
    usualShare: 0.03,
    min: 0.3,
    max: 1,
    measure: 'current at a steady speed on the ground',
  },
  {
    ...top('tireDiameterMm'),
    name: 'tire diameter',
    usualShare: 0.008,
    min: 10,
    max: 500,
    measure: 'the tire’s diameter with a caliper, at this run',
  },
  {
    ...ofMotor('kvRpmPerVolt'),
    name: 'motor Kv',
    usualShare: 0.02,
    min: 1,
    max: 1e5,
    measure: 'a no-load reading at this timing',
  },
  {
    ...ofMotor('resistanceOhm'),
    name: 'motor resistance',
    usualShare: 0.06,
    min: 1e-5,
    max: 100,
    measure: 'the winding with a milliohm meter',
  },
  {
    ...ofMotor('noLoadCurrentA'),
    name: 'no-load current',
    usualShare: 0.1,
    min: 0,
    max: 1000,
    measure: 'a no-load reading at this timing',
  },
  {
    ...ofPack('resistanceOhm'),
    name: 'pack resistance',
    usualShare: 0.15,
    min: 0,
    max: 10,
    measure: 'the pack’s resistance, warm, on the charger',
  },
  {
    ...ofPack('capacityAh'),
    name: 'pack capacity',
    usualShare: 0.03,
    min: 0.01,
    max: 1e6,
    measure: 'the charge put back after a full run',
  },
  {
    ...top('accessoryCurrentA'),
    name: 'accessory current',
    usualShare: 0.25,
    min: 0,
    max: 100,
    measure: 'the receiver’s current with the servos working',
  },
]

/** A car's uncertain inputs and the way back from their values to a car. */
export interface CarUncertainty {
  inputs: UncertainInput[]
  /** The car with these values, in the inputs' order. */
  carWith: (values: readonly number[]) => Car
}

/**
 * A car's inputs with their standard uncertainties: the stated ones (by id, absolute), else the usual share. Inputs that are absent, zero, or stated
 * as exact (0) are left out.
 */
export function carUncertainty(car: Car, stated: Readonly<Record<string, number>> = {}): CarUncertainty {
  const used = carQuantities.flatMap((q) => {
    const value = q.read(car)
    const sd = stated[q.id] ?? q.usualShare * Math.abs(value ?? 0)
    return value !== undefined && sd > 0 ? [{ q, value, sd }] : []
  })
  return {
    inputs: used.map(({ q, value, sd }) => ({
      name: q.name,
      value,
      sd,
      min: Math.min(q.min, value),
      max: Math.max(q.max, value),
      measure: q.measure,
    })),
    carWith: (values) => used.reduce((c, { q, value }, i) => q.write(c, values[i] ?? value), car),
  }
}
