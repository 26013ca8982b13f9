import { joinId, parametersOf, type BoardView, type MeetingRecord, type Quantity, type Run } from '../board'
import { runLap } from '../learning'
import { stateOfChargeAtRest } from '../setup-math'
import { POUCH_REST_VOLTAGE } from './pouch-rest-voltage'
import type { InputId, InputValues } from './projections-inputs'

/** What was measured after a past run of a car: what the model's error is learned from. */
export interface RunRecordOf {
  runId: string
  /** When it started, ms since the epoch; 0 when nobody stamped it. */
  at?: number
  /** The team took it out: nothing is learned from it. */
  forgotten?: boolean
  /** The team put it back: it counts, whatever the others say. */
  trusted?: boolean
  /** What differed on the card then. */
  inputs: InputValues
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

/** Card values by their parameter, and by what the team says they stand for, as inputs of a projection. */
const BY_PARAMETER: Readonly<Record<string, InputId>> = {
  pinion: 'pinion',
  spur: 'spur',
  tireDiameter: 'tireDiameterMm',
  weight: 'massG',
  motorTiming: 'motorTimingDeg',
}
const BY_QUANTITY: Partial<Record<Quantity, InputId>> = {
  boostTiming: 'boostDeg',
  boostStartRpm: 'boostStartRpm',
  boostEndRpm: 'boostEndRpm',
  turboTiming: 'turboDeg',
  turboDelay: 'turboDelayS',
  turboRamp: 'turboRampDegPerS',
  cutoffPerCell: 'cutoffV',
}

/** A can that is no warmer says nothing: it was read before the run, or hours after. */
const LEAST_CAN_C = 20
/** A can read later than this has cooled by as much as nobody knows, minutes. Common practice, no source. */
const LATEST_CAN_MIN = 5
/** Fewer laps are no race: the car stopped, and its mean lap says nothing. */
const LEAST_LAPS = 3

/** Runs of this car that are over and after which something was measured, the first first; not the run asked for. */
export function runRecordsOf(view: BoardView, carId: string, notThis: string | undefined): RunRecordOf[] {
  const out: RunRecordOf[] = []
  for (const entry of view.entries.live) {
    if (entry.carId !== carId || entry.id === notThis) continue
    const run = view.runs.get(entry.id)
    const measured = run && measuredOf(view, run)
    if (!run || !measured || Object.keys(measured).length === 0) continue
    const at = view.heats.get(entry.heatId)?.startedAt?.v ?? run.record?.v?.frozenAt ?? 0
    const word = run.learnFrom?.v
    out.push({
      runId: entry.id,
      at,
      ...(word === 'no' && { forgotten: true }),
      ...(word === 'always' && { trusted: true }),
      inputs: inputsThen(view, carId, run, at),
      measured,
    })
  }
  return out.sort((a, b) => (a.at ?? 0) - (b.at ?? 0) || (a.runId < b.runId ? -1 : 1))
}

function measuredOf(view: BoardView, run: Run): RunRecordOf['measured'] {
  const out: RunRecordOf['measured'] = {}
  const put = (key: keyof RunRecordOf['measured'], value: number | null | undefined, least: number) => {
    if (typeof value === 'number' && value > least) out[key] = value
  }
  put('putBackMah', run.chargeBackMah?.v, 0)
  if ((run.motorAfterMin?.v ?? 0) <= LATEST_CAN_MIN) put('canC', run.motorC?.v, LEAST_CAN_C)
  put('meanLapS', meanLapOf(view, run), 1)
  // The resting voltage is left out: it also holds what was driven around the race, and nobody says how long the pack had rested.
  return out
}

/** The race's mean lap, of the lap list without crashes and passes where there is one; else of the result, if the car came to the finish. */
function meanLapOf(view: BoardView, run: Run): number | null {
  const list = run.laps?.v ?? []
  const marked = new Set(
    list.flatMap((_, i) => (view.lapMarks.get(joinId(run.id, `${i + 1}`))?.mark?.v ? [i] : [])),
  )
  const pace = runLap(list, marked)
  if (pace) {
    // The first is left out of a pace, but not of a race: the model's starts from standstill as well.
    const counted = list.filter((_, i) => (i === 0 && !marked.has(0)) || !pace.leftOut.includes(i))
    return counted.reduce((a, b) => a + b, 0) / counted.length
  }
  const result = run.result?.v
  if (!result || result.ended || result.laps < LEAST_LAPS) return null
  return result.seconds / result.laps
}

/** The card as the run had it, as far as it may differ from today's. */
function inputsThen(view: BoardView, carId: string, run: Run, at: number): InputValues {
  const out: InputValues = {}
  const record = run.record?.v
  const then = record?.values ?? {}
  const number = (id: string): number | null => {
    const value = then[id]?.fitted ?? then[id]?.assigned
    return typeof value === 'number' ? value : null
  }
  for (const p of parametersOf(view, carId)) {
    const value = number(p.id)
    const id = BY_PARAMETER[p.id] ?? (p.quantity && BY_QUANTITY[p.quantity])
    if (id && value !== null) out[id] = p.quantity && p.quantity !== 'none' ? value * (p.scale ?? 1) : value
  }
  const pack = view.packs.get(record?.packId)
  if (pack?.cells) out.cells = pack.cells
  if (pack?.capacityMah) out.capacityMah = pack.capacityMah
  const volts = number('startVoltage')
  if (volts !== null)
    out.stateOfChargePercent =
      100 * stateOfChargeAtRest(POUCH_REST_VOLTAGE, Math.min(4.2, Math.max(3, volts / (pack?.cells ?? 2))))
  const air = saidBefore(view, 'airC', at)
  if (air !== null) out.airC = air
  const grip = saidBefore(view, 'grip', at)
  if (grip !== null) out.grip = grip
  return out
}

/** The latest word on the conditions up to a time. */
function saidBefore(view: BoardView, field: 'airC' | 'grip', at: number): number | null {
  let best: MeetingRecord<'conditions'>['airC'] | undefined
  for (const c of view.conditions.live) {
    const stamp = c[field]
    if (stamp && stamp.v !== null && stamp.at <= at && (!best || stamp.at > best.at)) best = stamp
  }
  return best?.v ?? null
}
