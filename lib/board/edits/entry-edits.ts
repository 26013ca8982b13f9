import { newId } from '../../core/id'
import { ok, refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import { nameKey } from '../fold-name'
import { runEdit, type EditContext } from '../write-session'

export interface EntryFields {
  driverName: string
  carNumber: string
  transponder: string
  gridPosition: number | null
  /** Set when the entry is one of the team's cars. */
  carId: string | null
}

/** Who an entry would be twice with; the board takes a racer once per heat. */
function checkEntry(view: BoardView, heatId: string, t: EntryFields, ownId?: string): Result<void> {
  const heat = view.heats.get(heatId)
  if (!heat || heat.removed)
    return refuse('Heat', heatId, 'is no longer in the running order', 'Pick another heat.')
  if (heat.isBreak) return refuse('Heat', heat.label, 'is a break', 'Pick a heat.')
  if (!t.driverName.trim()) return refuse('Driver name', '', 'is missing', 'Enter the driver’s name.')
  const others = view.entries.live.filter((e) => e.heatId === heatId && e.id !== ownId)
  const twin = others.find(
    (e) =>
      (t.transponder !== '' && e.transponder === t.transponder) ||
      (t.carId !== null && e.carId === t.carId) ||
      nameKey(e.driverName ?? '') === nameKey(t.driverName),
  )
  return twin
    ? refuse(
        'Driver name',
        t.driverName,
        'is already in this heat',
        'Pick another heat, or change the other entry.',
      )
    : ok(undefined)
}

const written = (t: EntryFields) => ({
  driverName: t.driverName.trim(),
  carNumber: t.carNumber.trim() || null,
  transponder: t.transponder.trim() || null,
  gridPosition: t.gridPosition,
  carId: t.carId,
})

export function addEntry(
  ctx: EditContext,
  view: BoardView,
  t: EntryFields & { heatId: string },
): Result<string> {
  return runEdit(ctx, 'add-entry', (w) => {
    const fits = checkEntry(view, t.heatId, t)
    if (!fits.ok) return fits
    const id: string = newId()
    const given = Object.entries(written(t)).filter(([, v]) => v !== null)
    w.meeting('entries', id, { heatId: t.heatId, ...Object.fromEntries(given) })
    return ok(id)
  })
}

export function changeEntry(
  ctx: EditContext,
  view: BoardView,
  t: EntryFields & { entryId: string },
): Result<void> {
  return runEdit(ctx, 'change-entry', (w) => {
    const entry = view.entries.get(t.entryId)
    if (!entry?.heatId) return refuse('Entry', t.driverName, 'is not on the board', 'Add it again.')
    const fits = checkEntry(view, entry.heatId, t, t.entryId)
    if (!fits.ok) return fits
    w.meeting('entries', t.entryId, written(t))
    return ok(undefined)
  })
}

/** Move an entry to another heat. Pack, tires, checks and the driver's accept move along: they belong to the entry. */
export function moveEntry(
  ctx: EditContext,
  view: BoardView,
  t: { entryId: string; heatId: string },
): Result<void> {
  return runEdit(ctx, 'move-entry', (w) => {
    const entry = view.entries.get(t.entryId)
    if (!entry || entry.removed) return refuse('Entry', '', 'is no longer on the board', 'Add it again.')
    for (const id of [entry.heatId, t.heatId]) {
      const heat = view.heats.get(id)
      if (heat?.startedAt?.v)
        return refuse(
          'Heat',
          heat.label ?? heat.number,
          'has started',
          'Move entries between heats that are still to come.',
        )
    }
    const fits = checkEntry(view, t.heatId, {
      driverName: entry.driverName ?? '',
      carNumber: entry.carNumber ?? '',
      transponder: entry.transponder ?? '',
      gridPosition: null,
      carId: entry.carId ?? null,
    })
    if (!fits.ok) return fits
    w.meeting('entries', t.entryId, { heatId: t.heatId, gridPosition: entry.gridPosition ? null : undefined })
    return ok(undefined)
  })
}

export function dropEntry(ctx: EditContext, t: { entryId: string }): Result<void> {
  return runEdit(ctx, 'drop-entry', (w) => {
    w.meeting('entries', t.entryId, { removed: true })
    return ok(undefined)
  })
}
