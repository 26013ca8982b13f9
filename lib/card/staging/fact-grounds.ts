import { settingText } from '../../core/setting-text'
import type { BoardView, CheckFact } from '../../board'
import { cardRows, rowIsLoose } from '../setup-card/card-rows'
import { digestOf } from './digest'
import { packProblems, voltageLimit } from '../plan/pack-problems'
import { runGround, type RunInfo } from '../day/runs'

/** What of a run its facts about card, pack and tires rest on. */
export type FactRun = Pick<RunInfo, 'run' | 'raceClass' | 'carId'>

export function missingFitted(view: BoardView, run: FactRun): string[] {
  const rows = cardRows(view, run.carId)
  if (rows.every((r) => r.assigned === null)) return ['nothing assigned']
  return rows.filter(rowIsLoose).map((r) => {
    if (r.state === 'not-read-back') return `${r.parameter.label} not read back`
    return `${r.parameter.label} ${settingText(r.assigned, r.parameter.unit)} assigned, ${r.fitted === null ? 'nothing' : settingText(r.fitted, r.parameter.unit)} fitted`
  })
}

export function missingPowered(view: BoardView, run: FactRun): string[] {
  const packId = run.run?.packId?.v
  if (!packId) return ['no pack assigned']
  const pack = view.packs.get(packId)
  const label = pack?.label ?? 'pack'
  const missing = packProblems(view, run)
  if (run.run?.packIn?.v !== packId) missing.push(`${label} is not in the car`)
  else {
    const volts = pack?.restVoltageV?.v
    const limit = voltageLimit(run)
    if (volts === undefined || volts === null) missing.push(`${label}: no voltage measured`)
    else if (limit !== null && volts > limit)
      missing.push(`${label} ${volts.toFixed(2)} V is over ${limit.toFixed(2)} V`)
  }
  return missing
}

export function missingShod(view: BoardView, run: FactRun): string[] {
  const setId = run.run?.tireSetId?.v
  if (!setId) return ['no tires assigned']
  const label = view.tireSets.get(setId)?.label ?? 'tires'
  if (run.run?.tiresOn?.v !== setId) return [`${label} not on the car`]
  const onCar = view.tireSets.get(setId)?.onCarId
  return onCar && onCar !== run.carId ? [`${label} is on ${view.cars.get(onCar)?.name ?? 'another car'}`] : []
}

/** A fact as a checklist item shows it. */
export interface CheckedFact {
  fact: CheckFact
  /** What is missing, in words; empty while it is so. */
  missing: string[]
  /** What a signature given now stands for: another pack, or a value fitted since, asks for another signature. */
  covers: string
}

/** The fact that an item of this run's lists is tied to; null when there is no such run. */
export function checkedFact(view: BoardView, runId: string, fact: CheckFact): CheckedFact | null {
  const ground = runGround(view, runId)
  const carId = view.entries.get(runId)?.carId
  if (!ground || !carId) return null
  const { run } = ground
  const on: FactRun = { run, raceClass: ground.raceClass, carId }
  switch (fact) {
    case 'fitted':
      return {
        fact,
        missing: missingFitted(view, on),
        covers: digestOf(
          cardRows(view, carId).map((r) => [r.parameter.id, r.assigned, r.fitted, r.readBack]),
        ),
      }
    case 'powered':
      return {
        fact,
        missing: missingPowered(view, on),
        covers: digestOf([run?.packId?.v ?? null, run?.packIn ?? null]),
      }
    case 'shod':
      return {
        fact,
        missing: missingShod(view, on),
        covers: digestOf([run?.tireSetId?.v ?? null, run?.tiresOn ?? null]),
      }
  }
}
