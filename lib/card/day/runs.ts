import { compareNames } from '../../core/compare-names'
import { heatName, type BoardView, type Entry, type Heat, type MeetingRecord, type Run } from '../../board'
import { dayForecast, heatsInOrder, type DayForecast } from './day-forecast'

export type RunState = 'upcoming' | 'called' | 'on-track' | 'finished'

/** One of the team's runs on the day's axis. Times in ms since the epoch. */
export interface RunInfo {
  runId: string
  entry: Entry
  run: Run | undefined
  heat: Heat
  round: MeetingRecord<'rounds'> | undefined
  raceClass: MeetingRecord<'classes'> | undefined
  carId: string
  carName: string
  driverId: string | null
  driverName: string
  /** Stamped start, or the forecast of it; null when the heat has neither a planned time nor a forecast. */
  startAt: number | null
  /** Half width of the forecast's interval, s; 0 once started. */
  plusMinusS: number
  /** When the heat is called to staging. */
  callAt: number | null
  state: RunState
}

/** `heat 5`, `A final, heat 31`: the heat of a run as every screen names it. */
export const heatOfRun = (run: Pick<RunInfo, 'heat' | 'raceClass'>): string =>
  heatName(run.heat, run.raceClass?.name)

/** `Rook, heat 5` */
export const carInHeat = (run: Pick<RunInfo, 'carName' | 'heat' | 'raceClass'>): string =>
  `${run.carName}, ${heatOfRun(run)}`

/** What of a run the projections of a card rest on. */
export type RunGround = Pick<RunInfo, 'runId' | 'run' | 'heat' | 'raceClass'>

/** The same without forecast or clock, for one run by its id; undefined when there is no such run. */
export function runGround(view: BoardView, runId: string): RunGround | undefined {
  const heat = view.heats.get(view.entries.get(runId)?.heatId)
  return heat && { runId, run: view.runs.get(runId), heat, raceClass: view.classes.get(heat.classId) }
}

export const DEFAULT_STAGING_LEAD_S = 300

/** The team's runs in the order in which they are expected to start. */
export function runsOf(
  view: BoardView,
  now: number,
  forecast: DayForecast = dayForecast(view, now),
): RunInfo[] {
  const lead = (view.meeting.get('meeting')?.stagingLeadSeconds ?? DEFAULT_STAGING_LEAD_S) * 1000
  const order = heatsInOrder(view).filter((h) => !h.isBreak)
  const lastStarted = order.findLastIndex((h) => h.startedAt?.v)
  // A stamp is missed on a busy day: a heat before the latest started one has run, whatever was stamped.
  const over = new Set(order.slice(0, Math.max(0, lastStarted)).map((h) => h.id))
  const runs: RunInfo[] = []
  for (const entry of view.entries.live) {
    const heat = view.heats.get(entry.heatId)
    if (!entry.carId || !heat || heat.removed) continue
    const car = view.cars.get(entry.carId)
    const startedAt = heat.startedAt?.v ?? null
    const expected = forecast.heats.get(heat.id)
    const startAt = startedAt ?? expected?.startAt ?? null
    const callAt = startAt === null ? null : startAt - lead
    runs.push({
      runId: entry.id,
      entry,
      run: view.runs.get(entry.id),
      heat,
      round: view.rounds.get(heat.roundId),
      raceClass: view.classes.get(heat.classId),
      carId: entry.carId,
      carName: car?.name ?? 'removed car',
      driverId: car?.driverId ?? null,
      driverName: view.people.get(car?.driverId)?.name ?? entry.driverName ?? '',
      startAt,
      plusMinusS: startedAt === null ? (expected?.plusMinusS ?? 0) : 0,
      callAt,
      state: over.has(heat.id) ? 'finished' : runState(heat, startedAt, callAt, now),
    })
  }
  return runs.sort(
    (a, b) =>
      (a.startAt ?? Infinity) - (b.startAt ?? Infinity) ||
      compareNames(a.carName, b.carName) ||
      (a.runId < b.runId ? -1 : 1),
  )
}

function runState(heat: Heat, startedAt: number | null, callAt: number | null, now: number): RunState {
  if (heat.finishedAt?.v) return 'finished'
  if (startedAt !== null) return 'on-track'
  return callAt !== null && now >= callAt ? 'called' : 'upcoming'
}

/** The car's next run that has not started, if any. */
export const nextRunOf = (runs: readonly RunInfo[], carId: string): RunInfo | undefined =>
  runs.find((r) => r.carId === carId && (r.state === 'upcoming' || r.state === 'called'))

/** The car's latest run with a frozen record before `runId` (or at all, when that run has none yet). */
export function lastRecordBefore(runs: readonly RunInfo[], run: RunInfo): RunInfo | undefined {
  const index = runs.findIndex((r) => r.runId === run.runId)
  return runs
    .slice(0, index < 0 ? undefined : index)
    .findLast((r) => r.carId === run.carId && r.run?.record?.v)
}
