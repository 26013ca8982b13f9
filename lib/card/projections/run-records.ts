import type { BoardView, Run } from '../../board'
import { derived } from '../../derived'
import type { TriggerSettings } from '../../setup-math'
import { CAN_SOON_MIN } from './can-limits'
import { ranTrial } from '../debrief/frozen-trial'
import { meanLap } from '../debrief/mean-lap'
import { cardBasis, type ProjectionBasis, type Trial } from './projections-basis'
import { valuesOf } from './projections-car'
import type { InputValues } from './projections-inputs'
import { runGround, type RunGround } from '../day/runs'

/** What was measured after a past run of a car: what the model's error is learned from. */
export interface RunRecordOf {
  runId: string
  /** When it started, ms since the epoch; 0 when nobody stamped it. */
  at?: number
  /** The team took it out: nothing is learned from it. */
  forgotten?: boolean
  /** The team put it back: it counts, whatever the others say. */
  trusted?: boolean
  /** What the car had then, as far as somebody said so or it differs from the card. */
  inputs: InputValues
  /** How long the race was and how the trigger was set, where that differed. */
  raceSeconds?: number
  trigger?: TriggerSettings
  /** By the figures' names; `putBackMah` is the race and what was driven around it. */
  measured: {
    putBackMah?: number
    /** The race alone. */
    chargeUsedMah?: number
    canC?: number
    lowV?: number
    endV?: number
    topMps?: number
    meanLapS?: number
  }
}

/** A can that is no warmer says nothing: it was read before the run, or hours after. */
const LEAST_CAN_C = 20

/**
 * Runs of this car that are over and after which something was measured, the first first; not the run asked for.
 * @param card as it is today
 */
export function runRecordsOf(
  view: BoardView,
  carId: string,
  card: Pick<ProjectionBasis, 'inputs' | 'raceSeconds' | 'trigger'>,
  notThis: string | undefined,
): RunRecordOf[] {
  const out: RunRecordOf[] = []
  const values = valuesOf(card)
  const triggerNow = JSON.stringify(card.trigger)
  for (const entry of view.entries.live) {
    if (entry.carId !== carId || entry.id === notThis) continue
    // Nobody sees a run of a heat that was taken out of the running order, nor could say that it teaches nothing.
    if (view.heats.get(entry.heatId)?.removed) continue
    const run = view.runs.get(entry.id)
    const measured = run && measuredOf(view, run)
    if (!run || !measured || Object.keys(measured).length === 0) continue
    const word = run.learnFrom?.v
    const { inputs = [], raceSeconds, trigger } = ranWithOf(view, entry.id)
    // What nobody said then and nobody has said since need not be told twice.
    const told = inputs.filter((i) => i.source !== 'assumed' || i.value !== values[i.id])
    out.push({
      runId: entry.id,
      at: startOf(view, entry.heatId, run),
      ...(word === 'no' && { forgotten: true }),
      ...(word === 'always' && { trusted: true }),
      inputs: valuesOf({ inputs: told }),
      ...(raceSeconds !== undefined && raceSeconds !== card.raceSeconds && { raceSeconds }),
      ...(trigger && JSON.stringify(trigger) !== triggerNow && { trigger }),
      measured,
    })
  }
  return out.sort((a, b) => (a.at ?? 0) - (b.at ?? 0) || (a.runId < b.runId ? -1 : 1))
}

/** When a run began, ms since the epoch; 0 where nobody said. */
export const startOf = (view: BoardView, heatId: string | undefined, run: Run | undefined): number =>
  view.heats.get(heatId)?.startedAt?.v ?? run?.record?.v?.frozenAt ?? 0

type RanWith = Partial<Pick<ProjectionBasis, 'inputs' | 'raceSeconds' | 'trigger'>>

/** What a run was driven with: its motor, pack, tires and values, and the conditions as they were known then. */
const ranWithOf = derived((view: BoardView, runId: string): RanWith => {
  const entry = view.entries.get(runId)
  const ground = runGround(view, runId)
  if (!entry?.carId || !ground) return {}
  const at = startOf(view, entry.heatId, ground.run)
  const { inputs, raceSeconds, trigger } = cardBasis(
    view,
    entry.carId,
    ground,
    ranTrial(view, entry.carId, ground),
    at,
  )
  return { inputs, raceSeconds, trigger }
})

/**
 * The card of a car as the ground of its projections, and what was measured after its runs beside it.
 * @param at of when the conditions are, ms since the epoch; the latest where it is left out
 */
export function projectionBasis(
  view: BoardView,
  carId: string,
  run: RunGround | undefined,
  trial: Trial = {},
  at?: number,
): ProjectionBasis {
  const card = cardBasis(view, carId, run, trial, at)
  return { ...card, records: runRecordsOf(view, carId, card, run?.runId) }
}

function measuredOf(view: BoardView, run: Run): RunRecordOf['measured'] {
  const out: RunRecordOf['measured'] = {}
  const put = (key: keyof RunRecordOf['measured'], value: number | null | undefined, least: number) => {
    if (typeof value === 'number' && value > least) out[key] = value
  }
  // A car that stopped on the way used less charge and heated less than a whole race does: learned from, it would promise too much of both.
  const whole = run.result?.v?.ended ? undefined : run
  put('putBackMah', whole?.chargeBackMah?.v, 0)
  // Read late, or nobody noted when: it was hotter at the flag, and a can learned too cold is the unsafe way to be wrong.
  const after = whole?.motorAfterMin?.v
  if (typeof after === 'number' && after <= CAN_SOON_MIN) put('canC', run.motorC?.v, LEAST_CAN_C)
  put('meanLapS', meanLap(view, run)?.meanS, 1)
  // The resting voltage is left out: it also holds what was driven around the race, and nobody says how long the pack had rested.
  return out
}
