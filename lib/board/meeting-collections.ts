import * as z from 'zod/mini'
import { PHOTO_BYTES, PHOTO_HASH, PHOTO_SIDE, PHOTO_TYPE } from '../core/photo-limits'
import {
  choice,
  flag,
  instant,
  instantSchema,
  integer,
  number,
  plainText,
  proof,
  ref,
  settingSchema,
  sign,
  stamped,
  text,
  title,
} from './field'
import { debriefCollections, debriefFields } from './debrief-fields'
import { MARSHAL_RULES, ruleFields } from './rules'

const removed = flag('Removed')
const order = number('Order', -1e6, 1e6)

export const ROUND_KINDS = ['practice', 'qualifying', 'final'] as const
export type RoundKind = (typeof ROUND_KINDS)[number]

export const LEARN_FROM = ['no', 'always'] as const
export type LearnFrom = (typeof LEARN_FROM)[number]

/** What a car really ran with, frozen at the start. Values by card parameter. */
export const runRecordSchema = z.strictObject({
  frozenAt: instantSchema,
  values: z.record(
    z.string().check(z.maxLength(80)),
    z.strictObject({
      assigned: z.nullable(settingSchema),
      fitted: z.nullable(settingSchema),
      readBack: z.boolean(),
    }),
  ),
  packId: z.nullable(z.string().check(z.maxLength(64))),
  tireSetId: z.nullable(z.string().check(z.maxLength(64))),
  /** Facts that were not true when the car started. */
  missing: z.array(z.string().check(z.maxLength(20))).check(z.maxLength(6)),
  accepted: z.boolean(),
  digest: z.string().check(z.maxLength(128)),
})
export type RunRecord = z.infer<typeof runRecordSchema>

/** A photo as the board knows it: the server keeps the bytes under their SHA-256. */
export const pictureSchema = z.strictObject({
  hash: z.string().check(z.regex(PHOTO_HASH)),
  thumb: z.string().check(z.regex(PHOTO_HASH)),
  type: z.literal(PHOTO_TYPE),
  width: z.int().check(z.minimum(1), z.maximum(PHOTO_SIDE)),
  height: z.int().check(z.minimum(1), z.maximum(PHOTO_SIDE)),
  bytes: z.int().check(z.minimum(1), z.maximum(PHOTO_BYTES)),
})
export type PictureFacts = z.infer<typeof pictureSchema>

/** One race meeting. */
export const meetingCollections = {
  meeting: {
    label: 'Meeting',
    fields: {
      name: title('Meeting name'),
      startsAt: instant('First day'),
      /** In which the first day is a day: elsewhere its midnight is another one's. */
      zone: text('Time zone', 60),
      trackId: ref('Track'),
      /** How long before its start a heat is called to staging. */
      stagingLeadSeconds: integer('Call before start', 0, 3600, 's'),
      marshalRule: choice('Marshal rule', MARSHAL_RULES),
      /** What this day's charge plan may count on; left empty, the usual of a pit. */
      chargeHands: integer('Charges put on within five minutes', 1, 20),
      coolDownSeconds: integer('Cool-down before a charge', 0, 7200, 's'),
      heldSeconds: integer('Longest wait when full', 0, 86400, 's'),
      note: text('Note', 2000),
    },
  },
  classes: { label: 'Class', fields: { ...ruleFields, ruleSheetId: ref('Rule sheet'), order, removed } },
  rounds: {
    label: 'Round',
    fields: { name: title('Round', 40), kind: choice('Kind', ROUND_KINDS), order, removed },
  },
  heats: {
    label: 'Heat',
    fields: {
      roundId: ref('Round'),
      classId: ref('Class'),
      number: integer('Heat number', 0, 10000),
      label: text('Heat label', 60),
      plannedStart: instant('Planned start'),
      raceSeconds: integer('Race length', 30, 3600, 's'),
      order,
      startedAt: stamped('Start', instantSchema),
      finishedAt: stamped('Finish', instantSchema),
      /** Breaks and track work that the running order lists between heats. */
      isBreak: flag('Break'),
      removed,
    },
  },
  entries: {
    label: 'Entry',
    owner: { car: { field: 'carId' } },
    fields: {
      heatId: ref('Heat'),
      driverName: text('Driver name', 80),
      carNumber: text('Car number', 12),
      transponder: text('Transponder', 24),
      gridPosition: integer('Grid position', 1, 100),
      /** Set when the entry is one of the team's cars: the entry is then one of our runs. */
      carId: ref('Car'),
      removed,
    },
  },
  /**
   * Same id as the entry. What is promised to the run, the driver's word on it, and what came of it. Entries that are not the team's have no more than
   * a result and a lap list: standings need everybody's.
   */
  runs: {
    label: 'Run',
    owner: { car: 'run' },
    fields: {
      packId: stamped('Pack', z.string().check(z.maxLength(64))),
      tireSetId: stamped('Tire set', z.string().check(z.maxLength(64))),
      /** The assigned set stays, whatever the planner would prefer. */
      tiresKept: flag('Tires kept'),
      mechanicId: stamped('Mechanic', z.string().check(z.maxLength(64))),
      /** The run starts on a pack charged to this share, as a charge plan that could not be had otherwise. */
      chargeShare: number('Charged to a share of', 0.3, 1),
      /** The charge plan does not look for a pack. */
      leftOut: flag('Left out of the charge plan'),
      packIn: stamped('Pack in the car', z.string().check(z.maxLength(64))),
      tiresOn: stamped('Tires on the car', z.string().check(z.maxLength(64))),
      accepted: sign('Accept'),
      sentBack: stamped('Sent back', plainText(400)),
      record: stamped('Run record', runRecordSchema),
      /** The heat's finish did not count it for the car and its tires: the car did not start. */
      notCounted: flag('Not counted as a run'),
      ...debriefFields,
      /** What projections learn from this run: `no` leaves it out, `always` counts it even where the others contradict it; empty, they decide. */
      learnFrom: stamped('Learn from this run', z.enum(LEARN_FROM)),
    },
  },
  ...debriefCollections,
  /** `carId.parameter`: what the card asks for and what is in the car. */
  cardValues: {
    label: 'Card value',
    owner: { car: 'head' },
    fields: {
      assigned: stamped('Assigned', settingSchema),
      fitted: stamped('Fitted', settingSchema),
      /** The digest of the fitted stamp that a power cycle came after: see `read-back.ts`. */
      cycled: stamped('Switched off and on again', z.string().check(z.maxLength(64))),
      readBack: proof('Read back', settingSchema),
      cannot: stamped('Cannot be fitted', plainText(400)),
    },
  },
  /** `carId.followUpRuleId` */
  followUps: {
    label: 'Follow-up',
    owner: { car: 'head' },
    fields: { opened: stamped('Opened by', plainText(200)), signed: sign('Signed') },
  },
  /** `runId.checklistItemId`, or `carId.checklistItemId` for lists that belong to a follow-up. */
  checks: { label: 'Check', owner: { car: 'run-or-head' }, fields: { signed: sign('Signed') } },
  notes: {
    label: 'Note',
    under: { about: ['text'], removed: ['text'] },
    fields: {
      /** `car:<id>`, `run:<id>`, `pack:<id>` or `meeting`. */
      about: text('About', 120),
      text: stamped('Note', plainText(2000)),
      removed,
    },
  },
  photos: {
    label: 'Photo',
    under: { runId: ['picture'], caption: ['picture'], removed: ['picture'] },
    fields: {
      runId: ref('Run'),
      picture: stamped('Photo', pictureSchema),
      caption: text('Caption', 200),
      removed,
    },
  },
  conditions: {
    label: 'Conditions',
    under: { removed: ['airC', 'trackC', 'humidityPercent', 'grip', 'text'] },
    fields: {
      airC: stamped('Air temperature', z.number().check(z.minimum(-30), z.maximum(60)), '°C'),
      trackC: stamped('Track temperature', z.number().check(z.minimum(-30), z.maximum(90)), '°C'),
      humidityPercent: stamped('Humidity', z.number().check(z.minimum(0), z.maximum(100)), '%'),
      grip: stamped('Grip', z.number().check(z.minimum(0.2), z.maximum(2))),
      text: stamped('Conditions', plainText(400)),
      removed,
    },
  },
  proposals: {
    label: 'Proposal',
    owner: { car: { field: 'carId' } },
    under: {
      carId: ['value', 'outcome'],
      parameter: ['value', 'outcome'],
      value: ['outcome'],
      removed: ['value', 'outcome'],
    },
    fields: {
      carId: ref('Car'),
      parameter: text('Parameter', 80),
      value: stamped('Proposed value', settingSchema),
      outcome: stamped('Outcome', z.enum(['taken', 'left'])),
      removed,
    },
  },
  charges: {
    label: 'Charge',
    under: {
      packId: ['startedAt'],
      runId: ['startedAt'],
      chargerId: ['startedAt'],
      channel: ['startedAt'],
      currentA: ['startedAt'],
      removed: ['startedAt'],
    },
    fields: {
      packId: ref('Pack'),
      runId: ref('Run'),
      chargerId: ref('Charger'),
      channel: integer('Channel', 1, 8),
      currentA: number('Current', 0.1, 100, 'A'),
      plannedStart: instant('Planned start'),
      plannedEnd: instant('Planned end'),
      pinned: flag('Pinned'),
      startedAt: stamped('Charge started', instantSchema),
      stoppedAt: stamped('Charge stopped', instantSchema),
      chargedMah: stamped('Charged', z.number().check(z.minimum(0), z.maximum(20000)), 'mAh'),
      endVoltageV: stamped('Voltage at the end', z.number().check(z.minimum(0), z.maximum(30)), 'V'),
      removed,
    },
  },
  duties: {
    label: 'Marshal duty',
    under: { standInId: ['done'] },
    fields: {
      heatId: ref('Heat'),
      personId: ref('Person'),
      standInId: stamped('Stand-in', z.string().check(z.maxLength(64))),
      done: sign('Done'),
      removed,
    },
  },
  jobs: {
    label: 'Job',
    fields: {
      text: title('Job', 200),
      personId: ref('Person'),
      carId: ref('Car'),
      dueAt: instant('Due'),
      done: sign('Done'),
      removed,
    },
  },
} as const
