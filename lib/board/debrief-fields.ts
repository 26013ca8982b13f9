import * as z from 'zod/mini'
import { flag, idSchema, plainText, stamped } from './field'

/** How a run ended that has no whole result. */
export const RUN_ENDS = ['did-not-start', 'did-not-finish'] as const
export type RunEnd = (typeof RUN_ENDS)[number]

/** What came of a run. Of a car that did not start, laps and seconds are 0. */
export const resultSchema = z.strictObject({
  laps: z.int().check(z.minimum(0), z.maximum(500)),
  seconds: z.number().check(z.minimum(0), z.maximum(7200)),
  position: z.optional(z.int().check(z.minimum(1), z.maximum(200))),
  bestLapS: z.optional(z.number().check(z.minimum(1), z.maximum(3600))),
  ended: z.optional(z.enum(RUN_ENDS)),
  reason: z.optional(plainText(200)),
})
export type RunResult = z.infer<typeof resultSchema>

/** What a lap can be marked as: it still counts, but says little about the car. `pass`: held up by other cars, or letting them by. */
export const LAP_MARKS = ['crash', 'pass'] as const
export type LapMark = (typeof LAP_MARKS)[number]
export const MOST_LAPS = 500

export const TIRE_LOOKS = ['even', 'rounded', 'one-sided', 'torn', 'done'] as const
export type TireLook = (typeof TIRE_LOOKS)[number]
export const NEXT_STEPS = ['leave', 'small-change', 'big-change', 'talk'] as const
export type NextStep = (typeof NEXT_STEPS)[number]
export const PHASES = ['entry', 'middle', 'exit'] as const
export type Phase = (typeof PHASES)[number]

/** One thing that the driver felt: a word of the trade, where on the track, and how strong. */
export const remarkSchema = z.strictObject({
  /** A word of the kit's list. */
  wordId: idSchema,
  /** The piece of the track, counted from 0, and what it was called then; neither where it is everywhere. */
  piece: z.optional(z.int().check(z.minimum(0), z.maximum(59))),
  place: z.optional(plainText(60)),
  phase: z.optional(z.enum(PHASES)),
  /** 1: a little, 2: clearly, 3: badly. */
  strength: z.int().check(z.minimum(1), z.maximum(3)),
})
export type Remark = z.infer<typeof remarkSchema>

const temperature = (label: string) => stamped(label, z.number().check(z.minimum(-20), z.maximum(250)), '°C')
const afterFinish = (label: string) => stamped(label, z.number().check(z.minimum(0), z.maximum(240)), 'min')

/** Fields of a run that are written after the finish. */
export const debriefFields = {
  result: stamped('Result', resultSchema),
  laps: stamped(
    'Lap list',
    z.array(z.number().check(z.minimum(1), z.maximum(3600))).check(z.maxLength(MOST_LAPS)),
  ),
  driverWords: stamped('Driver’s words', plainText(2000)),
  /** 1: bad, 5: very good. */
  feel: stamped('How it ran', z.int().check(z.minimum(1), z.maximum(5))),
  whatNext: stamped('What next', z.enum(NEXT_STEPS)),
  motorC: temperature('Motor temperature'),
  motorAfterMin: afterFinish('Motor temperature taken after the finish'),
  controllerC: temperature('Speed control temperature'),
  controllerAfterMin: afterFinish('Speed control temperature taken after the finish'),
  packC: temperature('Pack temperature'),
  packAfterMin: afterFinish('Pack temperature taken after the finish'),
  tireMm: stamped('Tire diameter after', z.number().check(z.minimum(40), z.maximum(150)), 'mm'),
  tireLook: stamped('Tires after', z.enum(TIRE_LOOKS)),
  chargeBackMah: stamped('Charge put back', z.number().check(z.minimum(0), z.maximum(20000)), 'mAh'),
  restVoltageV: stamped('Resting voltage after', z.number().check(z.minimum(0), z.maximum(30)), 'V'),
}

/** What belongs to a run as records of their own, so that two people who write at once both stay. */
export const debriefCollections = {
  /** `runId.lapNumber`, from 1. A mark is emptied, a lap is never deleted. */
  lapMarks: {
    label: 'Lap mark',
    owner: { car: 'run-or-head' },
    fields: { mark: stamped('Mark', z.enum(LAP_MARKS)) },
  },
  /** `runId.` and an id. */
  remarks: {
    label: 'Driver’s remark',
    owner: { car: 'run-or-head' },
    fields: {
      said: stamped('Remark', remarkSchema),
      /** Said later, and then in place of what `said` has. */
      phase: stamped('Part of the corner', z.enum(PHASES)),
      strength: stamped('How strong', z.int().check(z.minimum(1), z.maximum(3))),
      removed: flag('Removed'),
    },
  },
} as const
