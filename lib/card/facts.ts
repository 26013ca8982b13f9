import type { BoardView } from '../board'
import { cardRows, rowIsLoose } from './card-rows'
import { openChecks } from './checks'
import { openFollowUps } from './follow-ups'
import { packProblems, voltageLimit } from './pack-problems'
import { acceptState } from './run-digest'
import type { RunInfo } from './runs'

/** Readiness, always in this order. */
export const FACTS = ['set', 'fitted', 'powered', 'shod', 'checked', 'accepted'] as const
export type FactName = (typeof FACTS)[number]

export interface Fact {
  fact: FactName
  /** `void`: it was true, and a later change undid it. */
  state: 'yes' | 'no' | 'void'
  /** What is missing, in words; empty when true. */
  missing: string[]
}

/** The six facts of a run, each true or not. */
export function factsOf(view: BoardView, run: RunInfo): Fact[] {
  const accept = acceptState(view, run)
  const fact = (name: FactName, missing: string[]): Fact => ({
    fact: name,
    state: missing.length ? 'no' : 'yes',
    missing,
  })
  return [
    fact('set', missingSet(view, run)),
    fact('fitted', missingFitted(view, run)),
    fact('powered', missingPowered(view, run)),
    fact('shod', missingShod(view, run)),
    fact('checked', missingChecked(view, run)),
    {
      fact: 'accepted',
      state: accept === 'valid' ? 'yes' : accept === 'void' ? 'void' : 'no',
      missing:
        accept === 'valid'
          ? []
          : [
              accept === 'void'
                ? 'changed since the accept'
                : `${run.driverName || 'the driver'} has not accepted`,
            ],
    },
  ]
}

function missingSet(view: BoardView, run: RunInfo): string[] {
  const assigned = new Set(
    cardRows(view, run.carId)
      .filter((r) => r.assigned !== null)
      .map((r) => r.parameter.id),
  )
  const missing: string[] = []
  if (!assigned.has('pinion')) missing.push('no pinion assigned')
  if (!assigned.has('spur')) missing.push('no spur assigned')
  return missing
}

function missingFitted(view: BoardView, run: RunInfo): string[] {
  const rows = cardRows(view, run.carId)
  if (rows.every((r) => r.assigned === null)) return ['nothing assigned']
  return rows.filter(rowIsLoose).map((r) => {
    const unit = r.parameter.unit ? ` ${r.parameter.unit}` : ''
    if (r.state === 'not-read-back') return `${r.parameter.label} not read back`
    return `${r.parameter.label} ${r.assigned}${unit} assigned, ${r.fitted === null ? 'nothing' : `${r.fitted}${unit}`} fitted`
  })
}

function missingPowered(view: BoardView, run: RunInfo): string[] {
  const packId = run.run?.packId?.v
  if (!packId) return ['no pack assigned']
  const pack = view.packs.get(packId)
  const label = pack?.label ?? 'pack'
  const missing = packProblems(view, run)
  if (run.run?.packIn?.v !== packId) missing.push(`${label} is not in the car`)
  else {
    const volts = pack?.restVoltageV?.v
    const limit = voltageLimit(run)
    if (volts === undefined || volts === null) missing.push(`${label}: no voltage read`)
    else if (limit !== null && volts > limit)
      missing.push(`${label} ${volts.toFixed(2)} V is over ${limit.toFixed(2)} V`)
  }
  return missing
}

function missingShod(view: BoardView, run: RunInfo): string[] {
  const setId = run.run?.tireSetId?.v
  if (!setId) return ['no tires assigned']
  const label = view.tireSets.get(setId)?.label ?? 'tires'
  if (run.run?.tiresOn?.v !== setId) return [`${label} not on the car`]
  const onCar = view.tireSets.get(setId)?.onCarId
  return onCar && onCar !== run.carId ? [`${label} is on ${view.cars.get(onCar)?.name ?? 'another car'}`] : []
}

function missingChecked(view: BoardView, run: RunInfo): string[] {
  return [
    ...openFollowUps(view, run.carId).map((f) => f.name),
    ...openChecks(view, run.runId).map((l) => `${l.name}: ${l.open} of ${l.items.length} open`),
  ]
}
