import { newId } from '../../core/id'
import { ok, refuse, type Result } from '../../core/result'
import type { BoardView } from '../board-view'
import type { FieldsIn } from '../collections'
import { runEdit, type EditContext } from '../write-session'

type Figures = Omit<FieldsIn<'kit', 'packReadings'>, 'packId' | 'taken' | 'removed'>
const FIGURES = ['resistanceMilliohm', 'capacityMah', 'loadedVoltageV', 'restVoltageV', 'cycles'] as const

/**
 * Something was read off a pack: a point of its life, and what the pack's own fields say from then on, unless a later reading is there already.
 *
 * @param t.takenAt ms since the epoch
 */
export function addPackReading(
  ctx: EditContext,
  view: BoardView,
  t: { packId: string; takenAt: number } & Figures,
): Result<string> {
  return runEdit(ctx, 'pack-reading', (w) => {
    const { packId, takenAt, ...figures } = t
    if (!view.packs.get(packId))
      return refuse('Pack', packId, 'is not in the kit', 'Pick a pack from the kit.')
    if (FIGURES.every((f) => figures[f] === undefined || figures[f] === null))
      return refuse('Pack reading', '', 'holds no figure', 'Enter what you read.')
    if (figures.loadedVoltageV != null && figures.loadA == null)
      return refuse('Load', '', 'is missing', 'Enter the current that was drawn at that voltage.')
    if (takenAt > w.at) return refuse('Taken', '', 'is in the future', 'Enter the day of the reading.')
    const id: string = newId()
    w.kit('packReadings', id, { packId, taken: w.stamp(Math.round(takenAt)), ...figures })
    const isNewest = (field: 'resistanceMilliohm' | 'cycles') =>
      figures[field] != null &&
      !view.packReadings.live.some(
        (r) => r.packId === packId && r[field] !== undefined && (r.taken?.v ?? 0) > takenAt,
      )
    if (isNewest('resistanceMilliohm'))
      w.kit('packs', packId, {
        resistanceMilliohm: figures.resistanceMilliohm,
        resistanceAtC: figures.resistanceAtC ?? null,
      })
    if (isNewest('cycles')) w.kit('packs', packId, { cycles: figures.cycles })
    return ok(id)
  })
}
