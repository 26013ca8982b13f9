import {
  acceptRun,
  addRecord,
  assignPack,
  assignTires,
  assignValue,
  changeRecord,
  fitValue,
  putPackIn,
  putTiresOn,
  readBackValue,
  setPackState,
  signCheck,
  statePowerCycle,
} from '@/lib/board'
import { factsOf, runDigest, runsOf, type RunInfo } from '@/lib/card'
import { testBoard } from './board'
import { must } from './must'

const MINUTE = 60_000

/** A morning with two cars of ours in three heats, nothing prepared. */
export function raceDay() {
  const b = testBoard()
  const m = b.as('manager')
  const t0 = Date.UTC(2026, 4, 2, 10, 0)
  must(changeRecord(m, 'kit', 'people', 'ilse', { name: 'Ilse' }))
  const controllerId = must(addRecord(m, 'kit', 'controllers', { name: 'Blue' }))
  const delay = must(
    addRecord(m, 'kit', 'controllerParameters', {
      controllerId,
      label: 'Turbo delay',
      unit: 's',
      min: 0,
      max: 1,
      step: 0.05,
    }),
  )
  const car = (name: string, driverId: string) =>
    must(addRecord(m, 'kit', 'cars', { name, driverId, controllerId, mechanicId: 'ilse' }))
  const rook = car('Rook', 'dana')
  const heron = car('Heron', 'eli')
  const mesh = must(
    addRecord(m, 'kit', 'followUpRules', { name: 'Re-set the gear mesh', triggers: ['pinion'] }),
  )
  const list = must(addRecord(m, 'kit', 'checklists', { name: 'Before staging', kind: 'before-staging' }))
  const nuts = must(addRecord(m, 'kit', 'checklistItems', { checklistId: list, text: 'Wheel nuts' }))
  must(changeRecord(m, 'kit', 'packs', 'P01', { label: 'P01', cells: 2 }))
  must(changeRecord(m, 'kit', 'packs', 'P02', { label: 'P02', cells: 3 }))
  must(changeRecord(m, 'kit', 'tireSets', 'T01', { label: 'T01' }))
  const cls = must(
    addRecord(m, 'meeting', 'classes', {
      name: '4WD',
      cells: 2,
      voltageLimitV: 8.4,
      voltageToleranceV: 0.02,
      raceSeconds: 300,
    }),
  )
  const round = must(addRecord(m, 'meeting', 'rounds', { name: 'Round 1' }))
  const heat = (number: number, minutes: number) =>
    must(
      addRecord(m, 'meeting', 'heats', {
        number,
        classId: cls,
        roundId: round,
        plannedStart: t0 + minutes * MINUTE,
      }),
    )
  const [h1, h2, h3] = [heat(1, 0), heat(2, 8), heat(3, 90)]
  const entry = (heatId: string, carId: string) =>
    must(addRecord(m, 'meeting', 'entries', { heatId, carId, driverName: carId }))
  const runs = { rook1: entry(h1, rook), heron: entry(h2, heron), rook2: entry(h3, rook) }
  const now = t0 - 30 * MINUTE
  const run = (id: string, at = now): RunInfo => {
    const found = runsOf(b.view(), at).find((r) => r.runId === id)
    if (!found) throw new Error(`no run ${id}`)
    return found
  }
  const fact = (id: string) => Object.fromEntries(factsOf(b.view(), run(id)).map((f) => [f.fact, f.state]))
  return { ...b, m, t0, now, rook, heron, delay, mesh, nuts, list, h1, h2, h3, runs, run, fact }
}
export type RaceDayBoard = ReturnType<typeof raceDay>

/** Everything that makes Rook ready for its first run, accepted by its driver. */
export function prepareRook(d: RaceDayBoard) {
  const ilse = d.as('mechanic', 'ilse')
  for (const [parameterId, value] of [
    ['pinion', 22],
    ['spur', 81],
    [`esc.${d.delay}`, 0.1],
  ] as const) {
    must(assignValue(d.m, d.view(), { carId: d.rook, parameterId, value }))
    must(fitValue(ilse, d.view(), { carId: d.rook, parameterId, value }))
  }
  must(statePowerCycle(ilse, d.view(), { carId: d.rook }))
  must(readBackValue(ilse, d.view(), { carId: d.rook, parameterId: `esc.${d.delay}`, value: 0.1 }))
  must(assignPack(d.m, d.view(), { runId: d.runs.rook1, packId: 'P01' }))
  must(setPackState(ilse, { packId: 'P01', state: 'charged' }))
  must(putPackIn(ilse, d.view(), { runId: d.runs.rook1, packId: 'P01', restVoltageV: 8.4 }))
  must(assignTires(d.m, d.view(), { runId: d.runs.rook1, tireSetId: 'T01' }))
  must(putTiresOn(ilse, d.view(), { runId: d.runs.rook1, tireSetId: 'T01' }))
  must(signCheck(ilse, { scopeId: d.runs.rook1, itemId: d.nuts, done: true }))
  must(
    acceptRun(d.as('driver', 'dana'), d.view(), {
      runId: d.runs.rook1,
      digest: runDigest(d.view(), d.run(d.runs.rook1)),
    }),
  )
}
