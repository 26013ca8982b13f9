import { newId } from '../../core/id'
import { ok, refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import type { Heat } from '../collections'
import { orderBase, orderOfStart } from '../order-of-start'
import { runEdit, type EditContext } from '../write-session'

export interface HeatFields {
  roundId: string | null
  classId: string | null
  number: number | null
  label: string
  plannedStart: number | null
  isBreak: boolean
}

const MINUTE = 60_000
const inOrder = (view: BoardView): readonly Heat[] => view.heats.live
const gone = (id: string) =>
  refuse('Heat', id, 'is no longer in the running order', 'Pick another heat, or restore this one.')

/** Where a heat stands in the list: by its planned start, after heats with the same start; without one, at the end. */
function orderFor(view: BoardView, plannedStart: number | null, ownId?: string): number {
  const others = inOrder(view).filter((h) => h.id !== ownId)
  if (plannedStart === null) return Math.floor(Math.max(0, ...others.map((h) => h.order ?? 0))) + 1
  let order = orderOfStart(plannedStart, orderBase(view, [plannedStart]))
  while (others.some((h) => h.order === order)) order = Math.round((order + 0.001) * 1000) / 1000
  return order
}

function checkHeat(view: BoardView, t: HeatFields, ownId?: string): Result<void> {
  if (t.isBreak)
    return t.label.trim()
      ? ok(undefined)
      : refuse('Heat label', '', 'is missing', 'Enter what the break is for, as in “Lunch”.')
  if (!t.roundId) return refuse('Round', '', 'is missing', 'Pick the heat’s round.')
  if (t.number === null) return refuse('Heat number', '', 'is missing', 'Enter the heat’s number.')
  const twin = inOrder(view).find(
    (h) =>
      h.id !== ownId &&
      !h.isBreak &&
      h.roundId === t.roundId &&
      (h.classId ?? null) === t.classId &&
      h.number === t.number,
  )
  return twin
    ? refuse(
        'Heat number',
        t.number,
        'is already used in this round and class',
        'Enter another number, or change the other heat.',
      )
    : ok(undefined)
}

export function addHeat(ctx: EditContext, view: BoardView, t: HeatFields): Result<string> {
  return runEdit(ctx, 'add-heat', (w) => {
    const fits = checkHeat(view, t)
    if (!fits.ok) return fits
    const id: string = newId()
    w.meeting('heats', id, {
      roundId: t.roundId ?? undefined,
      classId: t.isBreak ? undefined : (t.classId ?? undefined),
      number: t.isBreak ? undefined : (t.number ?? undefined),
      label: t.label.trim() || undefined,
      plannedStart: t.plannedStart ?? undefined,
      isBreak: t.isBreak || undefined,
      order: orderFor(view, t.plannedStart),
    })
    return ok(id)
  })
}

/** Change a heat; with another planned start it moves to its place in the list. */
export function changeHeat(
  ctx: EditContext,
  view: BoardView,
  t: HeatFields & { heatId: string },
): Result<void> {
  return runEdit(ctx, 'change-heat', (w) => {
    const heat = view.heats.get(t.heatId)
    if (!heat || heat.removed) return gone(t.heatId)
    const fits = checkHeat(view, t, t.heatId)
    if (!fits.ok) return fits
    const moved = (heat.plannedStart ?? null) !== t.plannedStart
    w.meeting('heats', t.heatId, {
      roundId: t.roundId,
      classId: t.classId,
      number: t.number,
      label: t.label.trim() || null,
      plannedStart: t.plannedStart,
      order: moved ? orderFor(view, t.plannedStart, t.heatId) : undefined,
    })
    return ok(undefined)
  })
}

/** Move a heat one place up or down in the list. Planned starts stay with their heats: whoever moves a heat says when it runs, too. */
export function moveHeat(ctx: EditContext, view: BoardView, t: { heatId: string; by: 1 | -1 }): Result<void> {
  return runEdit(ctx, 'move-heat', (w) => {
    const list = inOrder(view)
    const at = list.findIndex((h) => h.id === t.heatId)
    const [heat, other, beyond] = [list[at], list[at + t.by], list[at + 2 * t.by]]
    if (!heat) return gone(t.heatId)
    if (!other)
      return refuse(
        'Heat',
        heat.label ?? heat.number,
        t.by < 0 ? 'is the first' : 'is the last',
        'Pick another heat.',
      )
    // Between its neighbour and the one beyond, so that no other heat is touched.
    const near = other.order ?? 0
    const far = beyond?.order ?? near + t.by
    w.meeting('heats', heat.id, { order: near === far ? near + t.by * 0.0005 : (near + far) / 2 })
    return ok(undefined)
  })
}

/** Move the planned start of a heat and of everything after it that has not started. */
export function shiftHeats(
  ctx: EditContext,
  view: BoardView,
  t: { fromHeatId: string; minutes: number },
): Result<number> {
  return runEdit(ctx, 'shift-heats', (w) => {
    const list = inOrder(view)
    const at = list.findIndex((h) => h.id === t.fromHeatId)
    if (at < 0) return gone(t.fromHeatId)
    const later = list.slice(at).filter((h) => !h.startedAt?.v && h.plannedStart !== undefined)
    const base = orderBase(view)
    for (const heat of later) {
      const plannedStart = (heat.plannedStart ?? 0) + t.minutes * MINUTE
      const order = heat.order === undefined ? orderOfStart(plannedStart, base) : heat.order + t.minutes
      w.meeting('heats', heat.id, { plannedStart, order: Math.round(order * 10_000) / 10_000 })
    }
    return ok(later.length)
  })
}

export function dropHeat(ctx: EditContext, view: BoardView, t: { heatId: string }): Result<void> {
  return runEdit(ctx, 'drop-heat', (w) => {
    const heat = view.heats.get(t.heatId)
    if (!heat || heat.removed) return gone(t.heatId)
    if (heat.startedAt?.v)
      return refuse('Heat', heat.label ?? heat.number, 'has started', 'Remove its start stamp first.')
    w.meeting('heats', t.heatId, { removed: true })
    return ok(undefined)
  })
}

export function restoreHeat(ctx: EditContext, t: { heatId: string }): Result<void> {
  return runEdit(ctx, 'restore-heat', (w) => {
    w.meeting('heats', t.heatId, { removed: null })
    return ok(undefined)
  })
}
