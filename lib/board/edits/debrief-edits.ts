import { newId } from '../../core/id'
import { ok, refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import type { LapMark, NextStep, Phase, Remark, RunResult, TireLook } from '../debrief-fields'
import { joinId } from '../flat-key'
import { temperatureFields, type HotPart } from '../hot-parts'
import type { TireState } from '../kit-collections'
import { setToldBy } from '../tires-of-run'
import { runEdit, type EditContext } from '../write-session'
import { recount } from './count-runs'

/** A run of anybody in the meeting: results are kept of everybody. */
function entryOf(view: BoardView, runId: string): Result<{ carId: string | undefined }> {
  const entry = view.entries.get(runId)
  if (!entry || entry.removed)
    return refuse('Run', runId, 'is no longer in the running order', 'Pick another run.')
  return ok({ carId: entry.carId })
}

/**
 * What came of a run; null empties it. A car that did not start has neither laps nor time, and its run counts for neither car nor tires.
 */
export function noteResult(
  ctx: EditContext,
  view: BoardView,
  t: { runId: string; result: RunResult | null },
): Result<void> {
  return runEdit(ctx, 'result', (w) => {
    const run = entryOf(view, t.runId)
    if (!run.ok) return run
    const fault = t.result && resultFault(t.result)
    if (fault) return fault
    w.meeting('runs', t.runId, { result: w.stamp(t.result) })
    recount(ctx, w, view, t)
    return ok(undefined)
  })
}

/** Why a result can't be so; null when it can. */
export function resultFault({ laps, seconds, bestLapS, ended }: RunResult) {
  // Nobody may have timed a car that stopped on the way.
  if (!ended && laps > 0 && seconds === 0)
    return refuse('Time', '0', 'is missing', 'Enter the time of the last lap.')
  if (ended === 'did-not-start' && laps > 0)
    return refuse('Laps', laps, 'do not go with a car that did not start', 'Choose “Did not finish”.')
  if (bestLapS !== undefined && laps > 0 && seconds > 0 && bestLapS * laps > seconds + 0.01 * laps)
    return refuse(
      'Best lap',
      `${bestLapS} s`,
      `is slower than the mean of ${laps} laps`,
      'Check laps, time and best lap.',
    )
  return null
}

/** The laps of a run, s, in the order driven; null empties the list. Marks stay with their lap's number. */
export function noteLaps(
  ctx: EditContext,
  view: BoardView,
  t: { runId: string; laps: readonly number[] | null },
): Result<void> {
  return runEdit(ctx, 'lap-list', (w) => {
    const run = entryOf(view, t.runId)
    if (!run.ok) return run
    w.meeting('runs', t.runId, { laps: w.stamp(t.laps ? [...t.laps] : null) })
    return ok(undefined)
  })
}

/** Mark a lap, counted from 1, so that it does not count for the car's pace; null takes the mark off. The lap stays. */
export function markLap(
  ctx: EditContext,
  view: BoardView,
  t: { runId: string; lap: number; mark: LapMark | null },
): Result<void> {
  return runEdit(ctx, 'lap-mark', (w) => {
    const count = view.runs.get(t.runId)?.laps?.v?.length ?? 0
    if (!Number.isInteger(t.lap) || t.lap < 1 || t.lap > count)
      return refuse('Lap', t.lap, 'is not in the lap list', `Pick a lap from 1 to ${count}.`)
    w.meeting('lapMarks', joinId(t.runId, String(t.lap)), { mark: w.stamp(t.mark) })
    return ok(undefined)
  })
}

/**
 * A temperature, and the minutes after the flag at which it was taken: a can loses degrees by the minute. Only what is given is written: whoever corrects
 * the minutes has not read the thermometer. A temperature that is emptied takes its minutes with it.
 */
export function noteTemperature(
  ctx: EditContext,
  view: BoardView,
  t: { runId: string; part: HotPart; celsius?: number | null; afterMin?: number | null },
): Result<void> {
  return runEdit(ctx, 'temperature', (w) => {
    const run = entryOf(view, t.runId)
    if (!run.ok) return run
    const { value, after } = temperatureFields(t.part)
    const afterMin = t.celsius === null && view.runs.get(t.runId)?.[after] ? null : t.afterMin
    w.meeting('runs', t.runId, {
      [value]: t.celsius === undefined ? undefined : w.stamp(t.celsius),
      [after]: afterMin === undefined ? undefined : w.stamp(afterMin),
    })
    return ok(undefined)
  })
}

/**
 * How the tires came back. A diameter is the set's newest one too, and a set that is done counts as worn: who mounts it next sees it, and sees it no more
 * when the word is taken back. An older run's word leaves the set alone.
 */
export function noteTires(
  ctx: EditContext,
  view: BoardView,
  t: { runId: string; diameterMm?: number | null; look?: TireLook | null },
): Result<void> {
  return runEdit(ctx, 'tires-after', (w) => {
    const run = entryOf(view, t.runId)
    if (!run.ok) return run
    const look = w.stamp(t.look ?? null)
    w.meeting('runs', t.runId, {
      tireMm: t.diameterMm === undefined ? undefined : w.stamp(t.diameterMm),
      tireLook: t.look === undefined ? undefined : look,
    })
    const set = view.tireSets.get(setToldBy(view, t.runId))
    if (!set) return ok(undefined)
    if (t.diameterMm) w.kit('tireSets', set.id, { diameterMm: t.diameterMm })
    if (t.look === 'done') w.kit('tireSets', set.id, { state: { ...look, v: 'worn' } })
    else if (t.look !== undefined && isWornBy(set.state, view.runs.get(t.runId)?.tireLook))
      w.kit('tireSets', set.id, { state: w.stamp<TireState>(set.onCarId ? 'on-car' : 'used') })
    return ok(undefined)
  })
}

type Stamped<T> = { v: T | null; by: string; at: number } | undefined
/** Did the word that tires are done make this set worn? Both were written in one act, by one hand. */
const isWornBy = (state: Stamped<TireState>, look: Stamped<TireLook>): boolean =>
  state?.v === 'worn' && look?.v === 'done' && state.at === look.at && state.by === look.by

/** What the charger put back after the run, and the pack's resting voltage before that. */
export function noteCharge(
  ctx: EditContext,
  view: BoardView,
  t: { runId: string; chargeBackMah?: number | null; restVoltageV?: number | null },
): Result<void> {
  return runEdit(ctx, 'charge-after', (w) => {
    const run = entryOf(view, t.runId)
    if (!run.ok) return run
    w.meeting('runs', t.runId, {
      chargeBackMah: t.chargeBackMah === undefined ? undefined : w.stamp(t.chargeBackMah),
      restVoltageV: t.restVoltageV === undefined ? undefined : w.stamp(t.restVoltageV),
    })
    return ok(undefined)
  })
}

/** The driver's answers: how it was (1 to 5), what next, and a line in their own words. */
export function sayHowItRan(
  ctx: EditContext,
  view: BoardView,
  t: { runId: string; feel?: number | null; next?: NextStep | null; words?: string },
): Result<void> {
  return runEdit(ctx, 'how-it-ran', (w) => {
    const run = entryOf(view, t.runId)
    if (!run.ok) return run
    w.meeting('runs', t.runId, {
      feel: t.feel === undefined ? undefined : w.stamp(t.feel),
      whatNext: t.next === undefined ? undefined : w.stamp(t.next),
      driverWords: t.words === undefined ? undefined : w.stamp(t.words.trim() || null),
    })
    return ok(undefined)
  })
}

/** One thing that the driver felt somewhere on the track. */
export function addRemark(
  ctx: EditContext,
  view: BoardView,
  t: { runId: string; remark: Remark },
): Result<string> {
  return runEdit(ctx, 'remark', (w) => {
    const run = entryOf(view, t.runId)
    if (!run.ok) return run
    if (!view.handlingWords.get(t.remark.wordId))
      return refuse('Word', '', 'is not in the team’s list', 'Pick a word from the list.')
    const id = joinId(t.runId, newId())
    w.meeting('remarks', id, { said: w.stamp(t.remark) })
    return ok(id)
  })
}

/** Where in the corner, and how strong: each a field of its own, so that two people who say more of one remark both stay. */
export function changeRemark(
  ctx: EditContext,
  view: BoardView,
  t: { remarkId: string; phase?: Phase; strength?: number },
): Result<void> {
  return runEdit(ctx, 'remark', (w) => {
    const remark = view.remarks.get(t.remarkId)
    if (!remark?.said?.v || remark.removed)
      return refuse('Remark', '', 'is no longer on the sheet', 'Pick the place and the word again.')
    w.meeting('remarks', t.remarkId, {
      phase: t.phase === undefined ? undefined : w.stamp(t.phase),
      strength: t.strength === undefined ? undefined : w.stamp(t.strength),
    })
    return ok(undefined)
  })
}

export function removeRemark(ctx: EditContext, t: { remarkId: string }): Result<void> {
  return runEdit(ctx, 'remove-remark', (w) => {
    w.meeting('remarks', t.remarkId, { removed: true })
    return ok(undefined)
  })
}
