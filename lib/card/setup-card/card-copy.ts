import {
  CARD_GROUPS,
  checkSetting,
  joinId,
  parametersOf,
  splitId,
  type BoardView,
  type CardGroup,
  type Setting,
} from '../../board'
import { diffCards, type CardSnapshot } from './card-diff'

/** One value of another card beside this one's. */
export interface CopyRow {
  /** On this card. */
  parameterId: string
  label: string
  unit: string
  /** There, on the side that was asked for; null when nobody said any. */
  there: Setting | null
  /** Here, now. */
  assigned: Setting | null
  fitted: Setting | null
  /** It can be assigned here, and would change what is assigned. */
  canAssign: boolean
  /** Why it can't be assigned here; null when it can, or when there is nothing to assign. */
  problem: string | null
}
export interface CopyGroup {
  id: CardGroup
  name: string
  rows: CopyRow[]
}

/**
 * Another card's values beside a car's own, in the order in which a mechanic works: those that differ on the side that counts, and those that
 * this card does not ask for yet. Speed-control values go by their label, since each make has its own list.
 */
export function cardCopy(
  view: BoardView,
  from: CardSnapshot,
  here: CardSnapshot,
  side: 'fitted' | 'assigned',
): CopyGroup[] {
  const { carId } = here
  const own = parametersOf(view, carId)
  const ownId = (id: string): string => {
    if (!id.startsWith('esc.') || own.some((p) => p.id === id)) return id
    const label = view.controllerParameters.get(id.slice('esc.'.length))?.label
    return own.find((p) => p.id.startsWith('esc.') && p.label === label)?.id ?? id
  }
  const there = new Map(Object.entries(from.values).map(([id, v]) => [ownId(id), v[side]]))
  const rows = new Map<string, CopyRow & { group: CardGroup }>()
  const add = (id: string, label: string, unit: string, was: Setting | null): void => {
    const p = own.find((x) => x.id === id)
    const now = view.cardValues.get(joinId(carId, id))
    const assigned = now?.assigned?.v ?? null
    const fits = p && was !== null ? checkSetting(p, was) : null
    const wants = was !== null && was !== assigned
    rows.set(id, {
      parameterId: id,
      group: p?.group ?? 'control',
      label: p?.label ?? label,
      unit: p?.unit ?? unit,
      there: was,
      assigned,
      fitted: now?.fitted?.v ?? null,
      canAssign: wants && fits?.ok === true,
      problem: !wants ? null : !p ? 'not on this card' : fits?.ok === false ? fits.error.reason : null,
    })
  }
  // Pack and tires are chosen for a run, not asked for by a card.
  for (const d of diffCards(view, from, here, side))
    if (d.parameterId !== 'pack' && d.parameterId !== 'tires')
      add(ownId(d.parameterId), d.label, d.unit, d.was)
  for (const [id, was] of there) {
    const p = own.find((x) => x.id === id)
    const assigned = view.cardValues.get(joinId(carId, id))?.assigned?.v ?? null
    if (p && was !== null && was !== assigned) add(id, p.label, p.unit, was)
  }
  const order = own.map((p) => p.id)
  return CARD_GROUPS.map((g) => ({
    id: g.id,
    name: g.name,
    rows: [...rows.values()]
      .filter((r) => r.group === g.id)
      .sort((a, b) => order.indexOf(a.parameterId) - order.indexOf(b.parameterId))
      .map(({ group: _, ...row }) => row),
  })).filter((g) => g.rows.length > 0)
}

/**
 * A card as it was left, in a meeting that is over: every value that stands there, whatever speed control the car has by now. Pack and tires
 * were those of its runs.
 */
export function leftSnapshot(view: BoardView, carId: string): CardSnapshot {
  const values: CardSnapshot['values'] = {}
  for (const { id, assigned, fitted } of view.cardValues.live) {
    const [head, parameterId] = splitId(id)
    if (head === carId && (assigned?.v != null || fitted?.v != null))
      values[parameterId] = { assigned: assigned?.v ?? null, fitted: fitted?.v ?? null }
  }
  const none = { assigned: null, fitted: null }
  return { name: 'as left', carId, values, motor: null, pack: none, tires: none }
}
