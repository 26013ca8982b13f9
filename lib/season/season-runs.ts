import type { BoardView, Entry, KitRecord, Remark, Run, RunEnd, Setting } from '../board'
import { nameKey } from '../board/fold-name'
import { conditionAt, meanLap, MOTOR_THEN, ranWith, remarksOf, runName } from '../card'
import { columnsOf, valuesIn, type RunValues, type ValueColumns } from './value-columns'

export type Surface = NonNullable<KitRecord<'tracks'>['surface']>

/** One run of one of the team's cars, as the season remembers it. What nobody wrote is null. */
export interface SeasonRun extends RunFacts {
  meetingId: string
  meetingName: string
  /** The meeting's first day, ms since the epoch. */
  day: number | null
  /** The meeting's, as in the IANA's list. */
  zone: string | null
  trackId: string | null
  surface: Surface | null
  driverId: string | null
  /** What was in the car by parameter id, from the record frozen at the start; empty where none was frozen. */
  values: RunValues
}

/** A run as its meeting's document alone tells it: kept by devices, and completed with the kit's names as they are now. Plain JSON. */
export interface RunFacts {
  runId: string
  /** `Qualifying 1, heat 5` */
  heat: string
  /** When it started, ms since the epoch. */
  at: number | null
  carId: string
  /** As the running order has it. */
  driverName: string | null
  packId: string | null
  tireSetId: string | null
  motorId: string | null
  airC: number | null
  trackC: number | null
  /** Result: laps done in so many seconds. */
  laps: number | null
  timeS: number | null
  place: number | null
  ended: RunEnd | null
  bestS: number | null
  /** As projections learn from it (`meanLap`). */
  meanS: number | null
  chargeBackMah: number | null
  restVoltageV: number | null
  /** The motor can as it was read after the flag. */
  canC: number | null
  /** Of a tire after the run, mm. */
  tireMm: number | null
  /** Its heat was finished, or something was written of what came of it. */
  isOver: boolean
  /** What the driver said in words of their own. */
  words: string | null
  remarks: readonly Remark[]
  /** Written about the run, its car, its pack or the whole meeting, and under photos of it. */
  notes: readonly string[]
}

export interface MeetingFacts {
  name: string | null
  startsAt: number | null
  zone: string | null
  trackId: string | null
  runs: readonly RunFacts[]
  /** What was in the cars, by the runs' places. */
  columns: ValueColumns
}

/** The runs of a meeting that have begun, in the order driven. `kit` and `meeting` may be one view of both. */
export const seasonRuns = (kit: BoardView, meeting: BoardView, meetingId: string): SeasonRun[] =>
  withKit(kit, meetingId, meetingFacts(meeting))

/** What a meeting's own document says. */
export function meetingFacts(view: BoardView): MeetingFacts {
  const own = view.meeting.get('meeting')
  const notes = notesOf(view)
  const runs: RunFacts[] = []
  for (const entry of view.entries.live) {
    const facts = factsOfRun(view, entry, notes)
    if (facts) runs.push(facts)
  }
  runs.sort((a, b) => (a.at ?? Infinity) - (b.at ?? Infinity) || (a.runId < b.runId ? -1 : 1))
  const columns = columnsOf(runs.map((r) => valuesThen(view.runs.get(r.runId))))
  const { name = null, startsAt = null, zone = null, trackId = null } = own ?? {}
  return { name, startsAt, zone, trackId, runs, columns }
}

/** The same with what only the kit knows. */
export function withKit(kit: BoardView, meetingId: string, facts: MeetingFacts): SeasonRun[] {
  const listed = kit.meetings.get(meetingId)
  const trackId = facts.trackId ?? listed?.trackId ?? null
  const meetingName = facts.name ?? listed?.name ?? 'Unnamed meeting'
  // A day and its zone were written together.
  const { startsAt, zone } = facts.startsAt === null ? (listed ?? {}) : facts
  const day = startsAt ?? null
  const surface = kit.tracks.get(trackId)?.surface ?? null
  const people = new Map(kit.people.live.map((p) => [nameKey(p.name ?? ''), p.id]))
  const known = new Map<string, string | undefined>()
  const named = (name: string): string | undefined => {
    if (!known.has(name)) known.set(name, people.get(nameKey(name)))
    return known.get(name)
  }
  const values = valuesIn(facts.columns)
  // A copy that begins with these is made ten times as fast as one that ends with them.
  return facts.runs.map((run, n) => ({
    meetingId,
    meetingName,
    day,
    zone: zone ?? null,
    trackId,
    surface,
    // Cars change hands over a season: whoever the running order names drove it.
    driverId: named(run.driverName ?? '') ?? kit.cars.get(run.carId)?.driverId ?? null,
    get values() {
      return values(n)
    },
    ...run,
  }))
}

function factsOfRun(view: BoardView, entry: Entry, notes: Map<string, string[]>): RunFacts | null {
  const { carId } = entry
  const heat = view.heats.get(entry.heatId)
  const run = view.runs.get(entry.id)
  if (!carId || !heat || heat.removed || !(heat.startedAt?.v || hasRun(run))) return null
  const record = run?.record?.v
  const at = heat.startedAt?.v ?? record?.frozenAt ?? null
  const result = run?.result?.v
  const driven = result?.ended === 'did-not-start' ? null : result
  const packId = record?.packId ?? run?.packIn?.v ?? run?.packId?.v ?? null
  const laps = run?.laps?.v ?? []
  const motor = ranWith(run, MOTOR_THEN)
  return {
    runId: entry.id,
    heat: runName({ heat, round: view.rounds.get(heat.roundId), raceClass: view.classes.get(heat.classId) }),
    at,
    carId,
    driverName: entry.driverName ?? null,
    packId,
    tireSetId: record?.tireSetId ?? run?.tiresOn?.v ?? run?.tireSetId?.v ?? null,
    motorId: typeof motor === 'string' ? motor : null,
    airC: conditionAt(view, 'airC', at ?? Infinity),
    trackC: conditionAt(view, 'trackC', at ?? Infinity),
    laps: driven?.laps ?? null,
    timeS: driven?.seconds ?? null,
    place: result?.position ?? null,
    ended: result?.ended ?? null,
    bestS: result?.bestLapS ?? (laps.length > 0 ? Math.min(...laps) : null),
    meanS: meanLap(view, run)?.meanS ?? null,
    chargeBackMah: run?.chargeBackMah?.v ?? null,
    restVoltageV: run?.restVoltageV?.v ?? null,
    canC: run?.motorC?.v ?? null,
    tireMm: run?.tireMm?.v ?? null,
    isOver: heat.finishedAt?.v != null || cameOf(run),
    words: run?.driverWords?.v ?? null,
    remarks: remarksOf(view, entry.id).map((r) => r.said.v),
    notes: [`run:${entry.id}`, `car:${carId}`, `pack:${packId}`, 'meeting'].flatMap(
      (a) => notes.get(a) ?? [],
    ),
  }
}

/** A start that nobody stamped leaves traces all the same. */
const hasRun = (run: Run | undefined): boolean => !!run?.record?.v || cameOf(run)

const cameOf = (run: Run | undefined): boolean =>
  !!(run?.result?.v ?? run?.laps?.v?.length ?? run?.chargeBackMah?.v)

function valuesThen(run: Run | undefined): Record<string, Setting> {
  const out: Record<string, Setting> = {}
  for (const id of Object.keys(run?.record?.v?.values ?? {})) {
    const value = id === MOTOR_THEN ? null : ranWith(run, id)
    if (value !== null) out[id] = value
  }
  return out
}

/** Notes by what they are about, and what stands under photos. */
function notesOf(view: BoardView): Map<string, string[]> {
  const out = new Map<string, string[]>()
  const add = (about: string | undefined, text: string | null | undefined) => {
    if (about && text) out.set(about, [...(out.get(about) ?? []), text])
  }
  for (const n of view.notes.live) add(n.about, n.text?.v)
  for (const p of view.photos.live) add(`run:${p.runId ?? ''}`, p.caption)
  add('meeting', view.meeting.get('meeting')?.note)
  return out
}
