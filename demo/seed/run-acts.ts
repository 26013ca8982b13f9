import {
  acceptRun,
  assignPack,
  assignTires,
  assignValue,
  fitValue,
  isCycled,
  joinId,
  markLap,
  putPackIn,
  putTiresOn,
  readBackValue,
  runEdit,
  setPackState,
  signCheck,
  signFollowUp,
  stampFinish,
  stampStart,
  statePowerCycle,
  type BoardView,
  type ChecklistKind,
  type EditContext,
  type NextStep,
  type Remark,
  type Setting,
  type TireLook,
  type Writer,
} from '@/lib/board'
import { checklistsOf, freezeRecord, openFollowUps, runDigest } from '@/lib/card'
import { ok, type Result } from '@/lib/core/result'
import type { DemoPersonId } from '../roster'
import { MINUTE, runInfo, write, type Act } from './story'

/** Do several edits as one act; the first refusal ends it. */
function each<T>(items: readonly T[], edit: (item: T) => Result<unknown>): Result<unknown> {
  for (const item of items) {
    const done = edit(item)
    if (!done.ok) return done
  }
  return ok(undefined)
}

export const promisePack = (at: number, by: DemoPersonId, runId: string, packId: string): Act => ({
  at,
  by,
  do: (ctx, view) => assignPack(ctx, view, { runId, packId }),
})
export const promiseTires = (at: number, by: DemoPersonId, runId: string, tireSetId: string): Act => ({
  at,
  by,
  do: (ctx, view) => assignTires(ctx, view, { runId, tireSetId }),
})
export const packIn = (at: number, by: DemoPersonId, runId: string, packId: string, volts: number): Act => ({
  at,
  by,
  do: (ctx, view) => putPackIn(ctx, view, { runId, packId, restVoltageV: volts }),
})
export const tiresOn = (at: number, by: DemoPersonId, runId: string, tireSetId: string): Act => ({
  at,
  by,
  do: (ctx, view) => putTiresOn(ctx, view, { runId, tireSetId }),
})
export const assign = (
  at: number,
  by: DemoPersonId,
  carId: string,
  parameterId: string,
  value: Setting,
  why?: string,
): Act => ({
  at,
  by,
  do: (ctx, view) =>
    assignValue(ctx, view, why ? { carId, parameterId, value, why } : { carId, parameterId, value }),
})
export const fit = (
  at: number,
  by: DemoPersonId,
  carId: string,
  parameterId: string,
  value: Setting,
): Act => ({ at, by, do: (ctx, view) => fitValue(ctx, view, { carId, parameterId, value }) })
export const readBack = (
  at: number,
  by: DemoPersonId,
  carId: string,
  parameterId: string,
  value: Setting,
): Act => ({
  at,
  by,
  do: (ctx, view) => {
    const cycled = view.cardValues.get(joinId(carId, parameterId))
    if (!cycled || !isCycled(cycled)) {
      const done = statePowerCycle(ctx, view, { carId })
      if (!done.ok) return done
    }
    return readBackValue(ctx, view, { carId, parameterId, value })
  },
})

/** The car was switched off and on again, and nobody has read it yet. */
export const powerCycle = (at: number, by: DemoPersonId, carId: string): Act => ({
  at,
  by,
  do: (ctx, view) => statePowerCycle(ctx, view, { carId }),
})

/** Sign whatever the changes on this car called for, item by item where it has items. What is read back closes by itself. */
export const closeFollowUps = (at: number, by: DemoPersonId, carId: string): Act => ({
  at,
  by,
  do: (ctx, view) =>
    each(
      openFollowUps(view, carId).filter((f) => !f.byReading),
      (f) => {
        const items = each(f.items, (item) =>
          signCheck(ctx, { scopeId: carId, itemId: item.id, covers: f.covers, done: true }),
        )
        return items.ok ? signFollowUp(ctx, { carId, ruleId: f.ruleId, covers: f.covers }) : items
      },
    ),
})

/** Sign a run's lists of one kind, or only their first items. */
export const signList = (
  at: number,
  by: DemoPersonId,
  runId: string,
  kind: ChecklistKind,
  first = Infinity,
): Act => ({
  at,
  by,
  do: (ctx, view) =>
    each(
      checklistsOf(view, runId, [kind])
        .flatMap((list) => list.items)
        .slice(0, first)
        // What the board does not find so can’t be signed.
        .filter((item) => !item.fact?.missing.length),
      (item) => signCheck(ctx, { scopeId: runId, itemId: item.id, covers: item.fact?.covers, done: true }),
    ),
})

export const accept = (at: number, by: DemoPersonId, runId: string): Act => ({
  at,
  by,
  do: (ctx, view) => acceptRun(ctx, view, { runId, digest: runDigest(view, runInfo(view, runId, at)) }),
})

/** Stamp a heat's start and freeze what the team's cars in it run with. */
export const start = (at: number, by: DemoPersonId, heatId: string, runIds: readonly string[]): Act => ({
  at,
  by,
  do: (ctx, view) =>
    stampStart(ctx, view, {
      heatId,
      at,
      records: runIds.map((runId) => ({ runId, record: freezeRecord(view, runInfo(view, runId, at), at) })),
    }),
})
export const finish = (at: number, by: DemoPersonId, heatId: string): Act => ({
  at,
  by,
  do: (ctx, view) => stampFinish(ctx, view, { heatId, at }),
})

/** Everything that makes a car ready for a run that starts at `startAt`. */
export function readyActs(t: {
  runId: string
  carId: string
  packId: string
  tireSetId: string
  mechanicId: DemoPersonId
  driverId: DemoPersonId
  startAt: number
  volts: number
}): Act[] {
  const { runId, carId, mechanicId, startAt } = t
  return [
    tiresOn(startAt - 31 * MINUTE, mechanicId, runId, t.tireSetId),
    packIn(startAt - 24 * MINUTE, mechanicId, runId, t.packId, t.volts),
    closeFollowUps(startAt - 20 * MINUTE, mechanicId, carId),
    signList(startAt - 18 * MINUTE, mechanicId, runId, 'inspection'),
    signList(startAt - 16 * MINUTE, mechanicId, runId, 'before-staging'),
    accept(startAt - 8 * MINUTE, t.driverId, runId),
  ]
}

/** What a driver tapped; its piece of the track is found by the place's name. */
export type DemoRemark = Omit<Remark, 'piece'>

export interface RunOutcome {
  laps: number
  seconds: number
  position: number
  words: string | null
  motorC: number
  controllerC: number
  chargeBackMah: number
  /** Of the pack's charge, after the run. */
  leftPercent: number
  restVoltageV: number
  packC: number
  lapList: number[]
  /** Counted from 1; null when nothing went wrong. */
  crashLap: number | null
  bestLapS: number
  feel: number
  remark: DemoRemark | null
}

/** What is taken down after a run. The charge put back comes later, with the charge itself. */
export function afterRunActs(t: {
  runId: string
  packId: string
  tireSetId: string
  tireRuns: number
  mechanicId: DemoPersonId
  driverId: DemoPersonId
  finishAt: number
  /** Of the board once the run's record is frozen. */
  outcome: (view: BoardView) => RunOutcome
}): Act[] {
  const { runId, packId, mechanicId, driverId, finishAt } = t
  let known: RunOutcome | undefined
  const outcomeOn = (view: BoardView) => (known ??= t.outcome(view))
  const noted = (
    at: number,
    by: DemoPersonId,
    name: string,
    build: (w: Writer, outcome: RunOutcome) => void,
  ): Act => ({
    at,
    by,
    do: (ctx, view) => write(at, by, name, (w) => build(w, outcomeOn(view))).do(ctx, view),
  })
  return [
    noted(finishAt + MINUTE, mechanicId, 'temperatures', (w, outcome) =>
      w.meeting('runs', runId, {
        motorC: w.stamp(outcome.motorC),
        motorAfterMin: w.stamp(1),
        controllerC: w.stamp(outcome.controllerC),
        controllerAfterMin: w.stamp(1),
        packC: w.stamp(outcome.packC),
        packAfterMin: w.stamp(2),
      }),
    ),
    {
      at: finishAt + 4 * MINUTE,
      by: mechanicId,
      do: (ctx, view) =>
        setPackState(ctx, { packId, state: 'used', chargePercent: outcomeOn(view).leftPercent }),
    },
    signList(finishAt + 5 * MINUTE, mechanicId, runId, 'after-run', 4),
    noted(finishAt + 7 * MINUTE, driverId, 'result', (w, outcome) => {
      const { laps, seconds, position, bestLapS, words } = outcome
      w.meeting('runs', runId, {
        result: w.stamp({ laps, seconds, position, bestLapS }),
        laps: w.stamp(outcome.lapList),
        driverWords: words === null ? undefined : w.stamp(words),
        feel: w.stamp(outcome.feel),
        whatNext: w.stamp<NextStep>(outcome.feel >= 4 ? 'leave' : 'small-change'),
      })
    }),
    {
      at: finishAt + 8 * MINUTE,
      by: driverId,
      do: (ctx, view) => {
        const outcome = outcomeOn(view)
        if (outcome.crashLap !== null) {
          const marked = markLap(ctx, view, { runId, lap: outcome.crashLap, mark: 'crash' })
          if (!marked.ok) return marked
        }
        return outcome.remark ? sayRemark(ctx, view, runId, outcome.remark) : ok(undefined)
      },
    },
    write(finishAt + 6 * MINUTE, mechanicId, 'tires-after', (w) =>
      w.meeting('runs', runId, { tireLook: w.stamp<TireLook>(t.tireRuns > 8 ? 'rounded' : 'even') }),
    ),
    noted(finishAt + 15 * MINUTE, mechanicId, 'resting-voltage', (w, outcome) => {
      w.meeting('runs', runId, { restVoltageV: w.stamp(outcome.restVoltageV) })
      w.kit('packs', packId, { restVoltageV: w.stamp(outcome.restVoltageV) })
    }),
  ]
}

/** A remark with the piece of the meeting's track that its place is. */
function sayRemark(ctx: EditContext, view: BoardView, runId: string, remark: DemoRemark): Result<void> {
  const track = view.tracks.get(view.meeting.get('meeting')?.trackId)
  const piece = track?.segments?.findIndex((s) => s.name === remark.place) ?? -1
  return runEdit(ctx, 'remark', (w) => {
    w.meeting('remarks', joinId(runId, 'first'), {
      said: w.stamp({ ...remark, ...(piece >= 0 && { piece }) }),
    })
    return ok(undefined)
  })
}

export interface ChargeJob {
  id: string
  packId: string
  /** The run that it is charged for. */
  runId: string
  /** The run that emptied it, whose record gets the charge put back. */
  afterRunId: string | null
  chargerId: string
  channel: number
  currentA: number
  from: number
  to: number
  /** Of the board when it ends: what the run has drawn is known only then. */
  mah: number | ((view: BoardView) => number)
  /** Cycles the pack counts once charged. */
  cycles: number
}

/** A charge from plug in to charged; what lies after `now` stays a plan. */
export function chargeActs(job: ChargeJob, by: DemoPersonId, now: number): Act[] {
  const { id, packId, from, to } = job
  const acts = [
    write(Math.min(from, now) - MINUTE, by, 'plan-charge', (w) =>
      w.meeting('charges', id, {
        packId,
        runId: job.runId,
        chargerId: job.chargerId,
        channel: job.channel,
        currentA: job.currentA,
        plannedStart: from,
        plannedEnd: to,
      }),
    ),
  ]
  if (from > now) return acts
  acts.push(
    write(from, by, 'start-charge', (w) => {
      w.meeting('charges', id, { startedAt: w.stamp(from) })
      w.kit('packs', packId, { state: w.stamp<'charging'>('charging') })
    }),
  )
  if (to > now) return acts
  const charged = (mah: number) =>
    write(to, by, 'end-charge', (w) => {
      w.meeting('charges', id, {
        stoppedAt: w.stamp(to),
        chargedMah: w.stamp(mah),
        endVoltageV: w.stamp(8.4),
      })
      w.kit('packs', packId, {
        state: w.stamp<'charged'>('charged'),
        restVoltageV: w.stamp(8.39),
        chargePercent: w.stamp(100),
        cycles: job.cycles,
      })
      if (job.afterRunId) w.meeting('runs', job.afterRunId, { chargeBackMah: w.stamp(mah) })
    })
  acts.push({
    at: to,
    by,
    do: (ctx, view) => charged(typeof job.mah === 'number' ? job.mah : job.mah(view)).do(ctx, view),
  })
  return acts
}
