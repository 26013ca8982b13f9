import type { SeasonRun } from './season-runs'

/** What one car ran, and what came of it, at a past meeting. */
export interface CarThen {
  carId: string
  runs: number
  /** The run with the most laps, the quickest of those; null where no result was written. */
  best: SeasonRun | null
  /** Best lap of all its runs, s. */
  bestS: number | null
  /** Mean clean lap of the best run, s. */
  meanS: number | null
  /** What was in the car in its best run, else in its last one that froze anything. */
  values: SeasonRun['values']
  words: readonly { runId: string; heat: string; text: string }[]
  /** What was picked from the team's words, with in how many runs. */
  said: readonly { wordId: string; runs: number }[]
  /** Each once. */
  notes: readonly string[]
}

export interface LastTimeHere {
  meetingId: string
  meetingName: string
  day: number | null
  zone: string | null
  /** The coolest and the warmest air of its runs, °C. */
  airC: readonly [number, number] | null
  cars: readonly CarThen[]
  /** Meetings on this track before that one. */
  earlier: number
}

/**
 * The last meeting on a track before a day, car by car: what was run, what came of it, what was written. Null where there was none.
 *
 * @param before ms since the epoch
 */
export function lastTimeHere(
  runs: readonly SeasonRun[],
  { trackId, before, notThis }: { trackId: string; before: number; notThis?: string | undefined },
): LastTimeHere | null {
  const days = new Map<string, number>()
  for (const r of runs) {
    const day = r.day ?? r.at
    if (r.trackId === trackId && r.meetingId !== notThis && day !== null && day < before)
      days.set(r.meetingId, Math.max(day, days.get(r.meetingId) ?? 0))
  }
  const last = [...days].sort((a, b) => b[1] - a[1] || (a[0] < b[0] ? -1 : 1))[0]
  if (!last) return null
  const there = runs.filter((r) => r.meetingId === last[0])
  const air = there.flatMap((r) => (r.airC === null ? [] : [r.airC]))
  return {
    meetingId: last[0],
    meetingName: there[0]?.meetingName ?? '',
    day: last[1],
    zone: there[0]?.zone ?? null,
    airC: air.length ? [Math.min(...air), Math.max(...air)] : null,
    cars: [...new Set(there.map((r) => r.carId))].map((id) => carThen(id, there)),
    earlier: days.size - 1,
  }
}

function carThen(carId: string, there: readonly SeasonRun[]): CarThen {
  const own = there.filter((r) => r.carId === carId).sort((a, b) => (a.at ?? 0) - (b.at ?? 0))
  const scored = own.filter((r) => r.laps !== null && r.laps > 0 && r.timeS !== null)
  const best = [...scored].sort((a, b) => (b.laps ?? 0) - (a.laps ?? 0) || (a.timeS ?? 0) - (b.timeS ?? 0))[0]
  const laps = own.flatMap((r) => (r.bestS === null ? [] : [r.bestS]))
  const known = (r: SeasonRun | undefined) => r !== undefined && Object.keys(r.values).length > 0
  return {
    carId,
    runs: own.length,
    best: best ?? null,
    bestS: laps.length ? Math.min(...laps) : null,
    meanS: best?.meanS ?? null,
    values: (known(best) ? best : own.findLast(known))?.values ?? {},
    words: own.flatMap((r) => (r.words ? [{ runId: r.runId, heat: r.heat, text: r.words }] : [])),
    said: saidIn(own),
    notes: [...new Set(own.flatMap((r) => r.notes))],
  }
}

/** The most frequent first. */
function saidIn(runs: readonly SeasonRun[]): CarThen['said'] {
  const counts = new Map<string, number>()
  for (const r of runs)
    for (const wordId of new Set(r.remarks.map((m) => m.wordId)))
      counts.set(wordId, (counts.get(wordId) ?? 0) + 1)
  return [...counts]
    .map(([wordId, n]) => ({ wordId, runs: n }))
    .sort((a, b) => b.runs - a.runs || (a.wordId < b.wordId ? -1 : 1))
}
