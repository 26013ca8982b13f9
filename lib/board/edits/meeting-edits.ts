import { newId } from '../../core/id'
import { ok, refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import type { MeetingRecord } from '../collections'
import { splitId } from '../flat-key'
import { classKey } from '../fold-name'
import { ruleFields } from '../rules'
import { runEdit, type EditContext, type Writer } from '../write-session'

/** What a new meeting takes over from a past one. */
export interface CopyChoice {
  classes: boolean
  /** Classes take what their rule sheets say today, where that is something else by now. */
  sheetsToday: boolean
  rounds: boolean
  /** How long before a start is called, and who marshals. */
  day: boolean
  /** What the cards ask for. */
  assigned: boolean
  /** What was said to be in the cars. Read-backs are never copied: they prove one day's saving. */
  fitted: boolean
}

/**
 * Enter a new meeting in the kit. Its own document is filled by `fillMeeting` once it is open.
 *
 * @param newTrack the name of a track that the kit does not have yet: it is made with the id `trackId`
 */
export function createMeeting(
  ctx: EditContext,
  t: {
    name: string
    startsAt: number
    /** Of which `startsAt` is a day; as in the IANA's list. */
    zone?: string
    trackId: string | null
    copiedFrom: string | null
    newTrack?: string
  },
): Result<string> {
  return runEdit(ctx, 'create-meeting', (w) => {
    if (!t.name.trim()) return refuse('Meeting name', '', 'is missing', 'Enter the name the club uses.')
    const id: string = newId()
    if (t.newTrack !== undefined && t.trackId !== null)
      w.kit('tracks', t.trackId, { name: t.newTrack.trim() })
    w.kit('meetings', id, {
      name: t.name.trim(),
      startsAt: t.startsAt,
      zone: t.zone,
      trackId: t.trackId ?? undefined,
      copiedFrom: t.copiedFrom ?? undefined,
    })
    return ok(id)
  })
}

/** Written to the kit's list as well, so that the meeting stands in its place before its document is open. */
export function setFirstDay(
  ctx: EditContext,
  t: { meetingId: string; startsAt: number; zone: string },
): Result<void> {
  return runEdit(ctx, 'first-day', (w) => {
    const day = { startsAt: t.startsAt, zone: t.zone }
    w.meeting('meeting', 'meeting', day)
    w.kit('meetings', t.meetingId, day)
    return ok(undefined)
  })
}

/**
 * Fill a meeting's document in one transaction: what it is, and what it takes from a past meeting. `ctx` has the new meeting's document,
 * `past` is a view of the other one. Refused when the document already describes a meeting.
 */
export function fillMeeting(
  ctx: EditContext,
  view: BoardView,
  t: {
    name: string
    startsAt: number
    zone?: string
    trackId: string | null
    /** Names of further classes; one that a rule sheet of the kit has gets its rules. */
    classes?: readonly string[]
    past?: { name: string; view: BoardView; copy: CopyChoice }
  },
): Result<void> {
  return runEdit(ctx, 'fill-meeting', (w) => {
    if (view.meeting.get('meeting')?.name)
      return refuse('Meeting', t.name, 'is already set up', 'Open its setup to change it.')
    const before = t.past?.copy.day ? t.past.view.meeting.get('meeting') : undefined
    w.meeting('meeting', 'meeting', {
      name: t.name.trim(),
      startsAt: t.startsAt,
      zone: t.zone,
      trackId: t.trackId ?? undefined,
      stagingLeadSeconds: before?.stagingLeadSeconds ?? 300,
      marshalRule: before?.marshalRule ?? 'after-own-heat',
    })
    if (t.past) copyFrom(w, t.past.view, t.past.name, t.past.copy)
    addClasses(w, view, t.classes ?? [], t.past?.copy.classes ? t.past.view.classes.live : [])
    return ok(undefined)
  })
}

function copyFrom(w: Writer, past: BoardView, pastName: string, copy: CopyChoice): void {
  if (copy.classes)
    for (const { id, ...fields } of past.classes.live) {
      const today = copy.sheetsToday ? changedRules(past, id) : {}
      w.meeting('classes', id, { ...fields, ...today, removed: undefined })
    }
  if (copy.rounds)
    for (const { id, ...fields } of past.rounds.live)
      w.meeting('rounds', id, { ...fields, removed: undefined })
  if (!copy.assigned && !copy.fitted) return
  for (const value of past.cardValues.live) {
    const car = past.cars.get(splitId(value.id)[0])
    if (!car || car.removed) continue
    const assigned = copy.assigned ? value.assigned?.v : undefined
    const fitted = copy.fitted ? value.fitted?.v : undefined
    if (assigned !== undefined && assigned !== null)
      w.meeting('cardValues', value.id, { assigned: w.stamp(assigned, `as at ${pastName}`) })
    if (fitted !== undefined && fitted !== null)
      w.meeting('cardValues', value.id, { fitted: w.stamp(fitted, `last fitted at ${pastName}`) })
  }
}

function addClasses(
  w: Writer,
  view: BoardView,
  names: readonly string[],
  there: readonly { name?: string; order?: number }[],
): void {
  const known = new Set(there.map((c) => classKey(c.name ?? '')))
  let order = Math.max(0, ...there.map((c) => c.order ?? 0))
  for (const name of names) {
    const key = classKey(name)
    if (key === '' || known.has(key)) continue
    known.add(key)
    const sheet = view.ruleSheets.live.find((s) => classKey(s.name ?? '') === key)
    const rules = sheet ? rulesOf(view, sheet.id) : null
    w.meeting('classes', newId(), {
      ...(rules?.ok && { ...rules.value, ruleSheetId: sheet?.id }),
      name: name.trim(),
      order: ++order,
    })
  }
}

/** Add a class with the rules of one of the kit's rule sheets, or an empty one to fill in by hand. */
export function addClass(
  ctx: EditContext,
  view: BoardView,
  t: { ruleSheetId: string } | { name: string },
): Result<string> {
  return runEdit(ctx, 'add-class', (w) => {
    const id: string = newId()
    const order = Math.max(0, ...view.classes.live.map((c) => c.order ?? 0)) + 1
    if ('name' in t) {
      w.meeting('classes', id, { name: t.name, order })
      return ok(id)
    }
    const rules = rulesOf(view, t.ruleSheetId)
    if (!rules.ok) return rules
    const name = freeName(
      rules.value.name ?? '',
      view.classes.live.map((c) => c.name ?? ''),
    )
    w.meeting('classes', id, { ...rules.value, name, ruleSheetId: t.ruleSheetId, order })
    return ok(id)
  })
}

/** The name itself, or with the first number that makes it the only one. */
function freeName(name: string, taken: readonly string[]): string {
  const used = new Set(taken.map(classKey))
  for (let n = 1; ; n++) {
    const candidate = n === 1 ? name : `${name} ${n}`
    if (!used.has(classKey(candidate))) return candidate
  }
}

/** Take the rules of a rule sheet over into a class: its own values, where the sheet has one, are replaced. */
export function applyRuleSheet(
  ctx: EditContext,
  view: BoardView,
  t: { classId: string; ruleSheetId: string },
): Result<void> {
  return runEdit(ctx, 'apply-rule-sheet', (w) => {
    const rules = rulesOf(view, t.ruleSheetId)
    if (!rules.ok) return rules
    w.meeting('classes', t.classId, { ...rules.value, name: undefined, ruleSheetId: t.ruleSheetId })
    return ok(undefined)
  })
}

/** What a class's rule sheet says today and the class does not; its name is its own. Empty for a class without one. */
export function changedRules(
  view: Pick<BoardView, 'classes' | 'ruleSheets'>,
  classId: string,
): Partial<MeetingRecord<'classes'>> {
  const own = view.classes.get(classId)
  const sheet = view.ruleSheets.get(own?.ruleSheetId)
  if (!own || !sheet || sheet.removed) return {}
  const names = RULES.filter(
    (f) =>
      f !== 'name' && sheet[f] !== undefined && JSON.stringify(sheet[f]) !== JSON.stringify(own[f] ?? null),
  )
  return Object.fromEntries(names.map((f) => [f, sheet[f]]))
}
const RULES = Object.keys(ruleFields) as (keyof typeof ruleFields)[]

function rulesOf(view: BoardView, ruleSheetId: string) {
  const sheet = view.ruleSheets.get(ruleSheetId)
  if (!sheet || sheet.removed)
    return refuse('Rule sheet', ruleSheetId, 'is not in the kit', 'Pick a rule sheet from the kit.')
  return ok(
    Object.fromEntries(RULES.map((f) => [f, sheet[f]])) as Pick<typeof sheet, keyof typeof ruleFields>,
  )
}
