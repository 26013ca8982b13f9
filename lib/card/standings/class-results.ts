import type { BoardView, Entry, Heat, RunResult } from '../../board'
import { roundKey } from '../../board/fold-name'
import { heatLabelBeside, heatNameFirst } from '../../board/heat-name'
import { readFinalName } from '../../board/read-final'
import { byLapsAndTime, type DriverResult, type SeriesRound } from '../../standings'
import { byDay } from '../day/day-forecast'
import { classDrivers, type ClassDriver } from './class-drivers'

/** A final of the class as the running order has it. */
export interface ClassFinal {
  letter: string
  /** Who is entered in any of its legs. */
  drivers: readonly string[]
  legs: readonly SeriesRound[]
}

/** Everybody's results in a class, as the rules take them. */
export interface ClassResults {
  drivers: readonly ClassDriver[]
  /** Qualifying, in the order driven. */
  rounds: readonly SeriesRound[]
  /** A first. */
  finals: readonly ClassFinal[]
  problems: readonly string[]
}

type Source = Pick<BoardView, 'heats' | 'rounds' | 'entries' | 'runs' | 'cars' | 'people' | 'classes'>

/** Results by the same person within so short a time came in as a list: nobody types two that fast. Our choice. ms */
const AT_ONCE_MS = 2000

/** Which final and which leg of it a heat is, as its label says, else its round's name; null where neither says it. */
export function finalOf(
  board: Pick<BoardView, 'rounds' | 'classes'>,
  heat: Heat,
): { letter: string | null; leg: number | null } {
  const label = readFinalName(heatLabelBeside({ label: heat.label }, board.classes.get(heat.classId)?.name))
  const round = readFinalName(board.rounds.get(heat.roundId)?.name ?? '')
  return { letter: label?.letter ?? round?.letter ?? null, leg: label?.leg ?? round?.leg ?? null }
}

/** @param classId the class whose heats are read */
export function classResults(board: Source, classId: string): ClassResults {
  const heats = board.heats.live.filter((h) => h.classId === classId && !h.isBreak)
  const mine = new Set(heats.map((h) => h.id))
  const byHeat = new Map<string, Entry[]>()
  for (const e of board.entries.live)
    if (e.heatId && mine.has(e.heatId)) byHeat.set(e.heatId, [...(byHeat.get(e.heatId) ?? []), e])
  const kindOf = (h: Heat) => board.rounds.get(h.roundId)?.kind
  const qualifying = group(
    heats.filter((h) => kindOf(h) === 'qualifying'),
    (h) => roundKey(board.rounds.get(h.roundId)?.name ?? h.roundId ?? ''),
  )
  const legs = group(
    heats.filter((h) => kindOf(h) === 'final'),
    (h) => {
      const { letter, leg } = finalOf(board, h)
      return `${letter ?? 'A'}.${leg ?? 1}`
    },
  )
  const entriesOf = (list: readonly Heat[]) => list.flatMap((h) => byHeat.get(h.id) ?? [])
  const { drivers, driverOf } = classDrivers(board, [...qualifying.values(), ...legs.values()].map(entriesOf))
  const nameOf = new Map(drivers.map((d) => [d.id, d.name]))
  const problems: string[] = []
  const roundFrom = (list: readonly Heat[], id: string, name: string): SeriesRound => {
    const results = new Map<string, DriverResult>()
    let isComplete = list.some((h) => (byHeat.get(h.id) ?? []).length > 0)
    const missing: string[] = []
    for (const heat of list) {
      const entries = byHeat.get(heat.id) ?? []
      // A heat that nobody is entered in will have no results.
      if (entries.length === 0) continue
      const found = entries.flatMap((e) => {
        const stamped = board.runs.get(e.id)?.result
        return stamped?.v ? [{ driver: driverOf.get(e.id) ?? e.id, result: stamped.v, stamped }] : []
      })
      // Who has no result in a list that is in did not start. A few results alone are no list, nor is what somebody typed one by one.
      const isListed = largestList(found.map((f) => f.stamped)) * 2 >= entries.length
      if (found.length < entries.length && !isListed) {
        isComplete = false
        if (found.length > 0)
          missing.push(`${heatNumberOf(heat)} (${found.length} of ${entries.length} are in)`)
      }
      for (const { driver, result } of found) {
        const next = resultFrom(result, list.length === 1)
        const before = results.get(driver)
        if (before) {
          const who = nameOf.get(driver) ?? 'Somebody'
          problems.push(`${who} has two results in ${name}: the better one counts.`)
        }
        if (!before || isBetter(next, before)) results.set(driver, next)
      }
    }
    if (missing.length > 0)
      problems.push(
        `${name}: results of heat${missing.length > 1 ? 's' : ''} ${missing.join(', ')} are missing. Import the whole list${missing.length > 1 ? 's' : ''}, or enter who did not start.`,
      )
    return { id, name, isComplete, results }
  }
  const rounds = [...qualifying.entries()].map(([key, list]) => {
    const round = board.rounds.get(list[0]?.roundId)
    return roundFrom(list, round?.id ?? key, round?.name ?? 'Round')
  })
  for (const [key, list] of legs) problems.push(...doubtsOf(board, key, list))
  const wanted = board.classes.get(classId)?.finalLegs ?? 1
  const letters = [...new Set([...legs.keys()].map((k) => k.slice(0, 1)))].sort()
  const finals = letters.map((letter): ClassFinal => {
    const here = [...legs.entries()].filter(([k]) => k.startsWith(letter))
    const entered = here.flatMap(([, list]) => entriesOf(list)).map((e) => driverOf.get(e.id) ?? e.id)
    // A lower final whose heat names no leg is a single race, whoever moves up out of it. Common practice, no source.
    const isOneRace = letter !== 'A' && here.flatMap(([, list]) => list).every((h) => !finalOf(board, h).leg)
    const last = Math.max(isOneRace ? 1 : wanted, ...here.map(([k]) => Number(k.slice(2))))
    return {
      letter,
      drivers: [...new Set(entered)],
      // Legs that the running order does not have yet are still to be run.
      legs: Array.from({ length: last }, (_, i) => {
        const key = `${letter}.${i + 1}`
        return roundFrom(legs.get(key) ?? [], key, last > 1 ? `Leg ${i + 1}` : 'Final')
      }),
    }
  })
  return { drivers, rounds, finals, problems }
}

const heatNumberOf = (h: Heat) => String(h.number ?? h.label ?? '?')

/** How many of these came in as one list. */
function largestList(stamps: readonly { by: string; at: number }[]): number {
  const sizes = stamps.map((s) => stamps.filter((o) => o.by === s.by && Math.abs(o.at - s.at) <= AT_ONCE_MS))
  const most = Math.max(0, ...sizes.map((s) => s.length))
  return most > 1 ? most : 0
}

/** What of a leg's heats was guessed: a final without a letter, and heats that say the same leg. */
function doubtsOf(board: Source, key: string, list: readonly Heat[]): string[] {
  const [letter = 'A', leg] = key.split('.')
  const doubts = list
    .filter((h) => finalOf(board, h).letter === null)
    .map(
      (h) =>
        `${h.label || heatNameFirst(h)} names no letter, so it counts as leg ${leg} of the A final. If it is another one, write it like “B final, leg 2” in the heat’s label.`,
    )
  if (list.length > 1)
    doubts.push(
      `${list.length} heats are leg ${leg} of the ${letter} final: ${list.map(heatNumberOf).join(', ')}. If they are different legs, write it like “${letter} final, leg 2” in the heat’s label.`,
    )
  return doubts
}

/** Heats by key, in the order of their day. */
function group(heats: readonly Heat[], key: (h: Heat) => string): Map<string, Heat[]> {
  const groups = new Map<string, Heat[]>()
  for (const h of [...heats].sort(byDay)) groups.set(key(h), [...(groups.get(key(h)) ?? []), h])
  return groups
}

/** The officials' place is one within a heat: it says something of the round where that is the only heat. */
function resultFrom(r: RunResult, isOnlyHeat: boolean): DriverResult {
  return {
    laps: r.laps,
    seconds: r.seconds,
    ...(isOnlyHeat && r.position !== undefined && { place: r.position }),
    ...(r.bestLapS !== undefined && { bestLapS: r.bestLapS }),
    ...(r.ended && { ended: r.ended }),
  }
}

const isBetter = (a: DriverResult, b: DriverResult): boolean =>
  (b.ended === 'did-not-start' && a.ended !== 'did-not-start') || byLapsAndTime(a, b) < 0
