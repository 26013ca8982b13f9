import * as z from 'zod/mini'
import { ROLES } from '../core/role'
import {
  choice,
  flag,
  idSchema,
  instant,
  instantSchema,
  integer,
  json,
  number,
  personName,
  plainText,
  ref,
  sign,
  stamped,
  text,
  title,
} from './field'
import { QUANTITY_KEYS } from './quantities'
import { ruleFields } from './rules'
import { THUMB_PARAMETERS } from './thumb-parameters'

const removed = flag('Removed')
const order = number('Order', -1e6, 1e6)
const note = text('Note', 2000)

export const PACK_STATES = ['storage', 'charging', 'charged', 'in-car', 'used', 'resting', 'retired'] as const
export type PackState = (typeof PACK_STATES)[number]
export const TIRE_STATES = ['new', 'ready', 'on-car', 'used', 'worn'] as const
export type TireState = (typeof TIRE_STATES)[number]
export const CHECKLIST_KINDS = ['calibration', 'before-staging', 'after-run', 'inspection'] as const
export type ChecklistKind = (typeof CHECKLIST_KINDS)[number]

/** Facts of a run that a checklist item can stand for: the card is fitted and read back, the pack is in, the tires are on. */
export const CHECK_FACTS = ['fitted', 'powered', 'shod'] as const
export type CheckFact = (typeof CHECK_FACTS)[number]
export const SERVICE_PARTS = ['bearings', 'dampers', 'differentials', 'brushes', 'rotor', 'other'] as const
export const FOLLOW_UP_CLOSINGS = ['signature', 'read-back'] as const

/** A piece of a lap, in driving order. Straights by length; corners by radius and arc, or by a measured speed. */
export const segmentSchema = z.strictObject({
  kind: z.enum(['straight', 'corner']),
  name: z.optional(plainText(40)),
  lengthM: z.optional(z.number().check(z.minimum(0.5), z.maximum(200))),
  radiusM: z.optional(z.number().check(z.minimum(0.3), z.maximum(50))),
  arcDegrees: z.optional(z.number().check(z.minimum(1), z.maximum(360))),
  /** Which way a corner goes: for the sketch; the lap does not care. */
  turn: z.optional(z.enum(['left', 'right'])),
  speedMps: z.optional(z.number().check(z.minimum(0.5), z.maximum(40))),
  grip: z.number().check(z.minimum(0.2), z.maximum(2)),
})
export type TrackSegment = z.infer<typeof segmentSchema>

/** The team's own things, kept from meeting to meeting. */
export const kitCollections = {
  people: {
    label: 'Person',
    owner: { person: 'id' },
    fields: { name: personName('Name'), role: choice('Role', ROLES), note, removed },
  },
  cars: {
    label: 'Car',
    owner: { car: 'id' },
    fields: {
      name: title('Car name', 40),
      driverId: ref('Driver'),
      mechanicId: ref('Mechanic'),
      drive: choice('Driven wheels', ['2wd', '4wd']),
      carNumber: text('Car number', 12),
      transponder: text('Transponder', 24),
      motorId: ref('Motor'),
      controllerId: ref('Speed control'),
      weightG: number('Weight ready to run', 500, 5000, 'g'),
      wheelbaseMm: number('Wheelbase', 150, 500, 'mm'),
      cgHeightMm: number('Center of gravity height', 10, 200, 'mm'),
      frontSharePercent: number('Front weight share', 10, 90, '%'),
      internalRatio: number('Internal ratio', 0.5, 10),
      gearModuleMm: number('Gear module', 0.2, 1.5, 'mm'),
      slotMinMm: number('Motor slot, nearest center distance', 5, 100, 'mm'),
      slotMaxMm: number('Motor slot, farthest center distance', 5, 100, 'mm'),
      driveEfficiency: number('Drive efficiency', 0.3, 1),
      dragAreaM2: number('Drag area (CdA)', 0.001, 0.2, 'm²'),
      rollingCoefficient: number('Rolling coefficient', 0.001, 0.3),
      wheelInertiaKgM2: number('Inertia of one wheel', 0, 0.01, 'kg·m²'),
      wheelsUpCurrentA: number('Wheels up: current', 0, 200, 'A'),
      wheelsUpRpm: number('Wheels up: motor speed', 100, 150000, 'rpm'),
      wheelsUpTimingDeg: number('Wheels up: timing, can and speed control', 0, 90, '°'),
      wheelsUpPinion: integer('Wheels up: pinion', 5, 100, 't'),
      /** Each heat's finish moves them on: service falls due by them. */
      runs: integer('Runs so far', 0, 100_000),
      runMinutes: number('Time run so far', 0, 1e6, 'min'),
      note,
      order,
      removed,
    },
  },
  motors: {
    label: 'Motor',
    fields: {
      name: title('Motor name', 40),
      kind: choice('Kind', ['modified', 'stock']),
      turns: number('Turns', 1, 60, 'T'),
      kvRpmPerVolt: number('Kv', 100, 20000, 'rpm/V'),
      resistanceMilliohm: number('Resistance', 0.5, 500, 'mΩ'),
      noLoadCurrentA: number('No-load current', 0, 50, 'A'),
      noLoadTimingDeg: number('No-load reading: timing', 0, 90, '°'),
      noLoadVolts: number('No-load reading: voltage', 0.5, 60, 'V'),
      noLoadRpm: number('No-load reading: motor speed', 100, 150000, 'rpm'),
      secondTimingDeg: number('Second reading: timing', 0, 90, '°'),
      secondVolts: number('Second reading: voltage', 0.5, 60, 'V'),
      secondRpm: number('Second reading: motor speed', 100, 150000, 'rpm'),
      secondCurrentA: number('Second reading: current', 0, 50, 'A'),
      rotorInertiaGCm2: number('Rotor inertia', 0, 1000, 'g·cm²'),
      note,
      removed,
    },
  },
  controllers: {
    label: 'Speed control',
    fields: {
      name: title('Speed control name', 40),
      resistanceMilliohm: number('Resistance', 0, 50, 'mΩ'),
      currentLimitA: number('Current limit', 1, 1000, 'A'),
      note,
      removed,
    },
  },
  controllerParameters: {
    label: 'Speed control parameter',
    fields: {
      controllerId: ref('Speed control'),
      label: title('Label', 40),
      unit: text('Unit', 16),
      min: number('Lowest', -1e6, 1e6),
      max: number('Highest', -1e6, 1e6),
      step: number('Step', 0, 1e6),
      quantity: choice('Common quantity', QUANTITY_KEYS),
      /** What one of the make's own units is in the common quantity's unit. */
      scale: number('Common units per unit', -1e6, 1e6),
      order,
      removed,
    },
  },
  packs: {
    label: 'Pack',
    fields: {
      label: title('Pack label', 12),
      cells: integer('Cells in series', 1, 6),
      capacityMah: integer('Capacity', 200, 20000, 'mAh'),
      resistanceMilliohm: number('Internal resistance', 0.1, 200, 'mΩ'),
      resistanceAtC: number('Temperature at that reading', -10, 60, '°C'),
      maxChargeC: number('Charge rate cap', 0.1, 20, 'C'),
      cycles: integer('Cycles', 0, 5000),
      weightG: number('Weight', 10, 2000, 'g'),
      state: stamped('State', z.enum(PACK_STATES)),
      restVoltageV: stamped('Resting voltage', z.number().check(z.minimum(0), z.maximum(30)), 'V'),
      chargePercent: stamped('State of charge', z.number().check(z.minimum(0), z.maximum(100)), '%'),
      health: choice('Health', ['good', 'practice-only', 'suspect']),
      leaveMilliohm: number('Leaves the races above', 0.1, 200, 'mΩ'),
      leaveCapacityPercent: number('Leaves the races below', 10, 100, '%'),
      note,
      order,
      removed,
    },
  },
  /** What was read off a pack once: its fields hold the newest, these its life. */
  packReadings: {
    label: 'Pack reading',
    fields: {
      packId: ref('Pack'),
      taken: stamped('Taken', instantSchema),
      resistanceMilliohm: number('Internal resistance', 0.1, 200, 'mΩ'),
      resistanceAtC: number('Temperature at that reading', -10, 60, '°C'),
      capacityMah: integer('Capacity, full to empty', 100, 20000, 'mAh'),
      loadedVoltageV: number('Voltage under load', 0, 30, 'V'),
      loadA: number('Load', 0.1, 500, 'A'),
      restVoltageV: number('Resting voltage', 0, 30, 'V'),
      storedDays: number('Days in storage', 0, 3650, 'd'),
      cycles: integer('Cycles', 0, 5000),
      note,
      removed,
    },
  },
  chargers: {
    label: 'Charger',
    fields: {
      label: title('Charger label', 24),
      channels: integer('Channels', 1, 8),
      channelCurrentA: number('Current per channel', 0.1, 100, 'A'),
      channelPowerW: number('Power per channel', 1, 3000, 'W'),
      supplyId: ref('Supply'),
      note,
      removed,
    },
  },
  supplies: {
    label: 'Supply',
    fields: { label: title('Supply label', 24), powerW: number('Power', 1, 20000, 'W'), note, removed },
  },
  tireSets: {
    label: 'Tire set',
    fields: {
      label: title('Tire set label', 12),
      axle: choice('Axle', ['set', 'front', 'rear']),
      drive: choice('For', ['2wd', '4wd']),
      compound: text('Compound', 40),
      insert: text('Insert', 40),
      tread: text('Tread', 40),
      diameterMm: number('Diameter', 40, 150, 'mm'),
      runs: integer('Runs so far', 0, 500),
      runsGood: integer('Runs it is good for', 0, 500),
      state: stamped('State', z.enum(TIRE_STATES)),
      onCarId: ref('On car'),
      note,
      order,
      removed,
    },
  },
  checklists: {
    label: 'Checklist',
    fields: { name: title('Checklist name'), kind: choice('Kind', CHECKLIST_KINDS), order, removed },
  },
  checklistItems: {
    label: 'Checklist item',
    fields: {
      checklistId: ref('Checklist'),
      text: title('Item', 240),
      caution: text('Caution', 400),
      /** The board knows whether it is so; the signature counts only while it is. */
      fact: choice('Only while the board says', CHECK_FACTS),
      order,
      removed,
    },
  },
  followUpRules: {
    label: 'Follow-up rule',
    fields: {
      name: title('Follow-up', 120),
      /** Card parameters that call for it; `esc.*` stands for any speed-control parameter. */
      triggers: json('Triggers', z.array(plainText(60)).check(z.minLength(1), z.maxLength(60))),
      /** Calibration-like follow-ups are done item by item. */
      checklistId: ref('Checklist'),
      /** Reading every changed speed-control value back closes it; nobody signs it away. */
      closedBy: choice('Closed by', FOLLOW_UP_CLOSINGS),
      caution: text('Caution', 400),
      order,
      removed,
    },
  },
  /** What drivers say of a car, in the team's own words. */
  handlingWords: {
    label: 'Handling word',
    fields: { name: title('Word', 40), note: text('What it means', 200), order, removed },
  },
  /** What is tried first when a driver says so; how it worked is counted from the runs, never entered. */
  rulesOfThumb: {
    label: 'Rule of thumb',
    fields: {
      name: title('What to try', 120),
      wordId: ref('When it feels'),
      parameter: choice('Card value', THUMB_PARAMETERS),
      direction: choice('Which way', ['up', 'down']),
      isCommonPractice: flag('Common practice'),
      note,
      order,
      removed,
    },
  },
  /** What a car's parts need every so often. */
  serviceRules: {
    label: 'Service rule',
    fields: {
      name: title('What is done', 80),
      part: choice('Part', SERVICE_PARTS),
      afterRuns: integer('After runs', 1, 10_000),
      afterHours: number('After hours run', 0.1, 10_000, 'h'),
      carId: ref('Only this car'),
      isCommonPractice: flag('Common practice'),
      note,
      order,
      removed,
    },
  },
  /** A service that was done, and how far the car had run then. */
  serviceDone: {
    label: 'Service done',
    under: {
      carId: ['done'],
      serviceRuleId: ['done'],
      runs: ['done'],
      runMinutes: ['done'],
      removed: ['done'],
    },
    fields: {
      carId: ref('Car'),
      serviceRuleId: ref('Service rule'),
      runs: integer('Runs then', 0, 100_000),
      runMinutes: number('Time run then', 0, 1e6, 'min'),
      done: sign('Done'),
      removed,
    },
  },
  ruleSheets: { label: 'Class rules', fields: { ...ruleFields, removed } },
  tracks: {
    label: 'Track',
    fields: {
      name: title('Track name', 60),
      surface: choice('Surface', ['clay', 'dusty-dirt', 'carpet', 'astroturf', 'asphalt', 'other']),
      grip: number('Grip', 0.2, 2),
      segments: json('Segments', z.array(segmentSchema).check(z.maxLength(60))),
      measuredLapS: number('Measured lap', 3, 300, 's'),
      note,
      removed,
    },
  },
  meetings: {
    label: 'Meeting',
    fields: {
      name: title('Meeting name'),
      startsAt: instant('First day'),
      /** In which the first day is a day: elsewhere its midnight is another one's. */
      zone: text('Time zone', 60),
      trackId: ref('Track'),
      copiedFrom: idSchemaField('Copied from'),
      removed,
    },
  },
} as const

function idSchemaField(label: string) {
  return { schema: idSchema, label }
}
