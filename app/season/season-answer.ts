import type { BoardView } from '@/lib/board'
import {
  compareRuns,
  isIn,
  keyOfRun,
  newestFirst,
  paceAmong,
  SEASON_SIDES,
  seasonGroups,
  sideOf,
  type PaceOf,
  type SeasonFilter,
  type SeasonIndex,
  type SeasonRun,
  type SeasonSide,
} from '@/lib/season'
import { compareNames } from '@/lib/core/compare-names'
import { choiceWord } from '@/app/words/choice-words'
import type { SeasonAnswer, SeasonChoice, SeasonPair, SeasonQuestion, SeasonRow } from './season-messages'

/** Texts shown of a run that was found: more say no more. */
const MOST_TEXTS = 4

/** What every question needs of all runs, worked out once for as long as none of them changes. */
interface Ground {
  revision: number
  /** The newest first. */
  runs: readonly SeasonRun[]
  pace: PaceOf
}
const grounds = new WeakMap<SeasonIndex, Ground>()

function groundOf(index: SeasonIndex, kit: BoardView): Ground {
  const known = grounds.get(index)
  if (known?.revision === index.revision) return known
  const runs = [...index.runs].sort(newestFirst)
  const paceOf = paceAmong(runs, (carId) => kit.cars.get(carId)?.drive)
  const percents = new Map(runs.map((r) => [r, paceOf(r)]))
  const ground = { revision: index.revision, runs, pace: (r: SeasonRun) => percents.get(r) ?? null }
  grounds.set(index, ground)
  return ground
}

/** What the season's screen shows for a question. */
export function answerSeason(
  index: SeasonIndex,
  kit: BoardView,
  question: SeasonQuestion,
  now: () => number,
): SeasonAnswer {
  const began = now()
  const { filter, search, side, most } = question
  const { runs, pace } = groundOf(index, kit)
  const hits = index.search(search)
  const texts = new Map(hits?.map((h) => [h.run, h.texts]))
  const inSearch = hits ? runs.filter((r) => texts.has(r)) : runs
  const asked = inSearch.filter((r) => isIn(r, filter))
  const row = (run: SeasonRun) => rowOf(kit, run, pace, texts.get(run) ?? [])
  // What was found stands as it was ranked.
  const listed = hits ? hits.map((h) => h.run).filter((r) => isIn(r, filter)) : asked
  const [a, b] = question.pair.map((key) => (key === null ? undefined : index.run(key)))
  return {
    question,
    known: runs.length,
    found: asked.length,
    rows: listed.slice(0, most).map(row),
    // In the order driven.
    groups: seasonGroups([...asked].reverse(), side, pace).map((g) => ({
      ...g,
      percents: g.percents.map((p) => Math.round(p * 100) / 100),
      label: g.id === null ? 'Not known' : sideName(kit, side, g.id, runs),
    })),
    choices: choicesOf(kit, inSearch, filter, runs),
    first: a ? row(a) : null,
    pair: a && b ? ({ a: row(a), b: row(b), ...compareRuns(kit, a, b) } satisfies SeasonPair) : null,
    tookMs: now() - began,
  }
}

function rowOf(kit: BoardView, run: SeasonRun, pace: PaceOf, texts: readonly string[]): SeasonRow {
  const { meetingId, meetingName, runId, heat, at, day, zone, laps, timeS, place, ended, bestS, meanS } = run
  return {
    key: keyOfRun(run),
    ...{ meetingId, meetingName, runId, heat, at, day, zone, laps, timeS, place, ended, bestS, meanS },
    canC: run.canC,
    chargeBackMah: run.chargeBackMah,
    car: kit.cars.get(run.carId)?.name ?? 'removed car',
    driver: kit.people.get(run.driverId)?.name ?? run.driverName ?? '',
    track: kit.tracks.get(run.trackId)?.name ?? '',
    pack: kit.packs.get(run.packId)?.label ?? '',
    tires: kit.tireSets.get(run.tireSetId)?.label ?? '',
    pacePercent: pace(run),
    texts: texts.slice(0, MOST_TEXTS),
  }
}

/** What a filter can be set to: counted among runs that have everything else that is asked for. */
function choicesOf(
  kit: BoardView,
  runs: readonly SeasonRun[],
  filter: SeasonFilter,
  all: readonly SeasonRun[],
): Record<SeasonSide, SeasonChoice[]> {
  const counts = SEASON_SIDES.map((side) => ({ side, asked: filter[side], of: new Map<string, number>() }))
  for (const run of runs) {
    let misses = 0
    let missed: SeasonSide | null = null
    for (const { side, asked } of counts)
      if (asked !== undefined && sideOf(run, side) !== asked) {
        misses++
        missed = side
      }
    if (misses > 1) continue
    for (const { side, of } of counts) {
      if (missed !== null && missed !== side) continue
      const id = sideOf(run, side)
      if (id !== null) of.set(id, (of.get(id) ?? 0) + 1)
    }
  }
  const choices = (side: SeasonSide): SeasonChoice[] => {
    const of = counts.find((c) => c.side === side)?.of ?? new Map<string, number>()
    const chosen = filter[side]
    if (chosen !== undefined && !of.has(chosen)) of.set(chosen, 0)
    return [...of]
      .map(([id, n]) => ({ id, label: sideName(kit, side, id, all), runs: n }))
      .sort((x, y) => compareNames(x.label, y.label))
  }
  return Object.fromEntries(SEASON_SIDES.map((s) => [s, choices(s)])) as Record<SeasonSide, SeasonChoice[]>
}

function sideName(kit: BoardView, side: SeasonSide, id: string, all: readonly SeasonRun[]): string {
  switch (side) {
    case 'car':
      return kit.cars.get(id)?.name ?? 'removed car'
    case 'driver':
      return kit.people.get(id)?.name ?? 'removed driver'
    case 'track':
      return kit.tracks.get(id)?.name ?? 'removed track'
    case 'surface':
      return choiceWord(id)
    case 'pack':
      return kit.packs.get(id)?.label ?? 'removed pack'
    case 'tires': {
      const set = kit.tireSets.get(id)
      return [set?.label ?? 'removed set', set?.compound].filter(Boolean).join(', ')
    }
    case 'meeting':
      return (
        kit.meetings.get(id)?.name ?? all.find((r) => r.meetingId === id)?.meetingName ?? 'removed meeting'
      )
  }
}
