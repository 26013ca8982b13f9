import type * as Y from 'yjs'
import { writeField, writeStarterKit, type PackState, type TireState } from '@/lib/board'
import { DEMO_PEOPLE, DEMO_ROSTER, DEMO_TRACK } from '../roster'
import { DEMO_CONTROLLERS } from './controller-data'
import {
  DEMO_CARS,
  DEMO_CHARGERS,
  DEMO_MOTORS,
  DEMO_PACKS,
  DEMO_SEGMENTS,
  DEMO_SUPPLIES,
  DEMO_TIRES,
} from './kit-data'
import { write, type Act } from './story'

export const TRACK_ID = 'saltmarsh-bowl'

/** What only the server writes: the crew with their roles, and the starter kit. */
export function writeServerPart(kit: Y.Doc): void {
  writeStarterKit(kit)
  kit.transact(() => {
    for (const { id, name, role } of DEMO_PEOPLE) {
      writeField(kit, 'people', id, 'name', name)
      writeField(kit, 'people', id, 'role', role)
    }
  })
}

/** The rules of the invented club: figures for the demo only. */
export const DEMO_RULES = {
  'saltmarsh-2wd': { name: 'Saltmarsh 2WD modified', drive: '2wd' as const, minimumWeightG: 1500 },
  'saltmarsh-4wd': { name: 'Saltmarsh 4WD modified', drive: '4wd' as const, minimumWeightG: 1600 },
}
export const COMMON_RULES = {
  motorLimit: 'modified' as const,
  cells: 2,
  voltageLimitV: 8.4,
  voltageToleranceV: 0.02,
  raceSeconds: 300,
  dynamicTimingAllowed: true,
  maxChargeC: 2,
  countingRounds: 2,
  finalLegs: 3,
  countingLegs: 2,
  finalSize: 10,
  marshalRule: 'after-own-heat' as const,
}

/** The team's kit, entered by its manager before the season. */
export function kitActs(at: number): Act[] {
  return [
    write(at, 'petra-amsel', 'kit', (w) => {
      DEMO_MOTORS.forEach(({ id, ...m }) => w.kit('motors', id, m))
      DEMO_CONTROLLERS.forEach(({ id, parameters, ...c }) => {
        w.kit('controllers', id, c)
        parameters.forEach(([pid, label, unit, min, max, step, quantity, scale], order) =>
          w.kit('controllerParameters', pid, {
            controllerId: id,
            label,
            unit,
            min,
            max,
            step,
            quantity,
            scale,
            order,
          }),
        )
      })
      DEMO_SUPPLIES.forEach(({ id, ...s }) => w.kit('supplies', id, s))
      DEMO_CHARGERS.forEach(({ id, ...c }) => w.kit('chargers', id, c))
      DEMO_TIRES.forEach(({ id, ...t }) =>
        w.kit('tireSets', id, { ...t, state: w.stamp<TireState>(t.runs ? 'ready' : 'new') }),
      )
      DEMO_PACKS.forEach(({ id, ...p }) =>
        w.kit('packs', id, {
          ...p,
          state: w.stamp<PackState>('storage'),
          restVoltageV: w.stamp(7.7),
          chargePercent: w.stamp(50),
        }),
      )
    }),
    write(at, 'petra-amsel', 'cars', (w) => {
      DEMO_ROSTER.forEach((entry, order) => {
        const car = DEMO_CARS.find((c) => c.id === entry.carId)
        if (!car) throw new Error(`The demo has no car ${entry.car}`)
        const { id, ...fields } = car
        const { driverId, carNumber, transponder } = entry
        w.kit('cars', id, { ...fields, name: entry.car, driverId, carNumber, transponder, order })
      })
      w.kit('tracks', TRACK_ID, {
        name: DEMO_TRACK,
        surface: 'clay',
        grip: 0.95,
        segments: DEMO_SEGMENTS,
        measuredLapS: 22.24,
        note: 'Outdoors, watered between rounds. The Washboard loosens up through the day. Measured lap: Rook, alone on the track.',
      })
      Object.entries(DEMO_RULES).forEach(([id, rules]) =>
        w.kit('ruleSheets', id, {
          ...COMMON_RULES,
          ...rules,
          tieChain: ['best-result', 'second-best-result'],
        }),
      )
    }),
  ]
}
