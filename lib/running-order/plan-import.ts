import type { BoardView } from '../board/board-view'
import { present } from '../core/assert'
import type { Entry, Heat } from '../board/collections'
import { classKey, nameKey, roundKey, roundKindOf } from '../board/fold-name'
import { breakKeyOf } from './heat-list'
import { titleOfHeat, titleOfListed } from './heat-title'
import {
  NEW_CLASS,
  type ClassQuestion,
  type HeatTitle,
  type ImportChoices,
  type ImportPlan,
  type OrderChange,
  type PlannedEntry,
  type PlannedHeat,
  type ResolvedHeat,
} from './import-plan'
import { dropWhatIsGone } from './drop-what-is-gone'
import { PlanWriter } from './plan-writer'
import { foldCode, matchCar, racerKey, type CarMatch } from './match-cars'
import { matchEntries, type BoardEntry, type EntryToMatch } from './match-entries'
import { classProblems, newClassFields, newClassId, resolveClasses } from './resolve-classes'
import { badLines } from '../tables/row-problem'
import type { ListedEntry, RunningOrder } from './running-order'
import { sayHeatsSwapped } from './swapped-heats'
import { stableId } from './stable-id'
import { heatOrders } from './heat-orders'

/**
 * What importing this running order would do to the board as it is now. Nothing is written. Heats are the same when round, class and
 * number are; entries when transponder or driver are. What a corrected file no longer lists is flagged removed, and only within the rounds
 * and classes that the file lists at all; a heat that has started, or that bad rows may have hidden, stays.
 */
export function planImport(view: BoardView, order: RunningOrder, choices: ImportChoices): ImportPlan {
  const classes = resolveClasses(view, order, choices)
  const problems = [...order.problems, ...classProblems(order, classes)].sort((a, b) => a.line - b.line)
  const bad = badLines(problems)
  const w = new PlanWriter(view)
  const changes: OrderChange[] = []
  const heats = resolveHeats(view, order, classes, w, changes)
  const started = (heat: Heat | undefined) => Boolean(heat?.startedAt?.v)

  const toMatch: EntryToMatch[] = []
  const matches = new Map<EntryToMatch, CarMatch>()
  for (const h of heats) {
    const drive = driveOf(view, h)
    for (const listed of h.listed.entries) {
      const racer = racerKey(h.listed.classText, listed)
      const chosen = choices.cars[racer]
      const match: CarMatch =
        chosen === undefined
          ? matchCar(view, listed, drive)
          : { carId: chosen, by: 'choice', doubt: null, ask: false, suggested: null }
      const item = { listed, heatId: h.heatId, group: `${h.roundId}|${h.classId ?? ''}`, carId: match.carId }
      toMatch.push(item)
      matches.set(item, match)
    }
  }
  const boardEntries: BoardEntry[] = [...view.entries.all.values()].flatMap((entry) => {
    const heat = view.heats.get(entry.heatId)
    return heat
      ? [{ entry, group: `${heat.roundId ?? ''}|${heat.classId ?? ''}`, started: started(heat) }]
      : []
  })
  const found = matchEntries(toMatch, boardEntries)

  const orders = heatOrders(view, heats)
  const planned: PlannedHeat[] = heats.map((h) => {
    const title = titleOfListed(h.heatId, h.listed, h.className)
    const before = w.writes.length
    const mine = toMatch.filter((t) => t.heatId === h.heatId)
    const entries = mine.map((item): PlannedEntry => {
      const was = found.get(item)?.entry
      const match = present(matches.get(item), 'a match for every listed entry')
      // A car that a person put on the entry stays, unless they say otherwise here.
      const carId = match.by === 'choice' ? match.carId : (was?.carId ?? match.carId)
      // Who is listed as before was asked about before.
      const ask = match.ask && !carId && !(was && isListedAsBefore(was, item.listed))
      const entryId = was?.id ?? w.freeEntryId(h.heatId, item.listed)
      w.entry(entryId, h.heatId, item.listed, carId, was)
      const racer = racerKey(h.listed.classText, item.listed)
      return { entryId, listed: item.listed, racer, match, carId, ask }
    })
    w.heat(h.heatId, h.roundId, h.classId, h.listed, orders.get(h.heatId), h.existing)
    const status = !h.existing
      ? 'new'
      : h.existing.removed
        ? 'returned'
        : w.writes.length > before
          ? 'changed'
          : 'same'
    changes.push(...heatChanges(h, title, entries))
    if (h.existing) changes.push(...entryChanges(view, entries, title, h.heatId))
    return { heatId: h.heatId, listed: h.listed, status, entries }
  })

  dropWhatIsGone(
    view,
    heats,
    new Set(planned.flatMap((p) => p.entries.map((e) => e.entryId))),
    bad,
    choices,
    w,
    changes,
  )
  return {
    problems,
    badLineCount: bad.size,
    classes,
    heats: planned,
    changes: sayHeatsSwapped(changes),
    writes: w.writes,
    open: [...new Set(planned.flatMap((p) => p.entries.flatMap((e) => (e.ask ? [e.racer] : []))))],
    firstImport: view.heats.live.length === 0,
  }
}

const isListedAsBefore = (was: Entry, listed: ListedEntry): boolean =>
  nameKey(was.driverName ?? '') === nameKey(listed.driverName) &&
  foldCode(was.transponder) === foldCode(listed.transponder) &&
  foldCode(was.carNumber) === foldCode(listed.carNumber)

const boardKey = (roundId: string, classId: string | null, number: number) =>
  `${roundId}|${classId ?? ''}|${number}`

function resolveHeats(
  view: BoardView,
  order: RunningOrder,
  classes: readonly ClassQuestion[],
  w: PlanWriter,
  changes: OrderChange[],
): ResolvedHeat[] {
  const answers = new Map(classes.map((c) => [c.key, c]))
  const existing = heatsByKey(view)
  const rounds = new Map<string, string>()
  const added = new Set<string>()

  const roundOf = (name: string): string => {
    const key = roundKey(name)
    const known = rounds.get(key)
    if (known) return known
    const same = [...view.rounds.all.values()].filter((r) => roundKey(r.name ?? '') === key)
    const round = same.find((r) => !r.removed) ?? same[0]
    const id = round?.id ?? stableId('round', key)
    rounds.set(key, id)
    if (!round) {
      w.put('rounds', id, { name: name.slice(0, 40), kind: roundKindOf(name), order: w.nextRoundOrder() })
      changes.push({ kind: 'round-added', name, ours: false })
    } else if (round.removed) w.put('rounds', id, { removed: null })
    return id
  }

  return order.heats.flatMap((listed): ResolvedHeat[] => {
    const question = listed.isBreak ? undefined : answers.get(classKey(listed.classText))
    if (question?.answer === null) return []
    const isNew = question?.answer === NEW_CLASS
    const classId = !question ? null : isNew ? newClassId(question.text) : question.answer
    if (question && isNew && classId && !added.has(classId)) {
      added.add(classId)
      w.put('classes', classId, {
        ...newClassFields(view, question.text),
        removed: null,
        order: w.nextClassOrder(),
      })
      changes.push({ kind: 'class-added', name: question.text, ours: false })
    }
    const roundId = roundOf(listed.round)
    const key = listed.isBreak ? listed.key : boardKey(roundId, classId, listed.number)
    const heat = existing.get(key)
    const className = classId ? (view.classes.get(classId)?.name ?? question?.text ?? '') : ''
    return [
      { listed, roundId, classId, className, heatId: heat?.id ?? stableId('heat', key), existing: heat },
    ]
  })
}

/** The board's heats by what identifies them; a live heat wins over a removed one. */
function heatsByKey(view: BoardView): Map<string, Heat> {
  const byKey = new Map<string, Heat>()
  const breaks = new Map<string, number>()
  const all = [...view.heats.all.values()].sort((a, b) => (a.order ?? 0) - (b.order ?? 0))
  for (const heat of [...all.filter((h) => !h.removed), ...all.filter((h) => h.removed)]) {
    let key = boardKey(heat.roundId ?? '', heat.classId ?? null, heat.number ?? -1)
    if (heat.isBreak) {
      const round = view.rounds.get(heat.roundId)?.name ?? ''
      const nth = (breaks.get(`${round}|${heat.label ?? ''}`) ?? 0) + 1
      breaks.set(`${round}|${heat.label ?? ''}`, nth)
      key = breakKeyOf(round, heat.label ?? '', nth)
    }
    if (!byKey.has(key)) byKey.set(key, heat)
  }
  return byKey
}

function driveOf(view: BoardView, h: ResolvedHeat): '2wd' | '4wd' | undefined {
  const known = view.classes.get(h.classId)?.drive
  if (known) return known
  const drive = newClassFields(view, h.listed.classText)['drive']
  return drive === '2wd' || drive === '4wd' ? drive : undefined
}

function heatChanges(h: ResolvedHeat, heat: HeatTitle, entries: readonly PlannedEntry[]): OrderChange[] {
  const ours = entries.some((e) => e.carId !== null)
  if (!h.existing) return [{ kind: 'heat-added', heat, entries: entries.length, ours }]
  const changes: OrderChange[] = []
  if (h.existing.removed) changes.push({ kind: 'heat-returned', heat, ours })
  const from = h.existing.plannedStart ?? null
  const to = h.listed.plannedStart
  if (to !== null && to !== from) changes.push({ kind: 'time-moved', heat, from, to, ours })
  return changes
}

function entryChanges(
  view: BoardView,
  entries: readonly PlannedEntry[],
  heat: HeatTitle,
  heatId: string,
): OrderChange[] {
  const changes: OrderChange[] = []
  for (const { entryId, listed, carId } of entries) {
    const was = view.entries.get(entryId)
    const ours = carId !== null
    const driver = listed.driverName
    if (!was) {
      changes.push({ kind: 'entry-added', heat, driver, ours })
      continue
    }
    const from = view.heats.get(was.heatId)
    if (was.removed) changes.push({ kind: 'entry-returned', heat, driver, ours })
    if (from && from.id !== heatId)
      changes.push({ kind: 'entry-moved', from: titleOfHeat(view, from), heat, driver, ours })
    const differs = (what: string, a: string | number | undefined, b: string | number | null) => {
      if (b !== null && b !== '' && a !== b)
        changes.push({
          kind: 'entry-changed',
          heat,
          driver,
          what,
          from: String(a ?? ''),
          to: String(b),
          ours,
        })
    }
    differs('driver name', was.driverName, listed.driverName)
    differs('car number', was.carNumber, listed.carNumber)
    differs('transponder', was.transponder, listed.transponder)
    differs('grid position', was.gridPosition, listed.gridPosition)
    const car = (id: string | null | undefined) => (id ? (view.cars.get(id)?.name ?? id) : 'none of ours')
    if ((was.carId ?? null) !== carId)
      changes.push({
        kind: 'entry-changed',
        heat,
        driver,
        what: 'car',
        from: car(was.carId),
        to: car(carId),
        ours: true,
      })
  }
  return changes
}
