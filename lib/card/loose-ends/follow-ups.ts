import {
  isClosedByReading,
  joinId,
  splitId,
  triggerMatches,
  type BoardView,
  type CardValue,
  type KitRecord,
  type MeetingRecord,
  type Sign,
} from '../../board'
import { derived } from '../../derived'
import { cardRows } from '../setup-card/card-rows'
import { digestOf } from '../staging/digest'

export interface FollowUpItem {
  id: string
  text: string
  caution: string | null
  signed: Sign | null
}

export interface FollowUpStatus {
  ruleId: string
  name: string
  caution: string | null
  /** `not-called`: nothing has changed that calls for it. */
  state: 'not-called' | 'open' | 'signed'
  /** Closed by reading the car's changed values back: `items` is empty, and no signature counts. */
  byReading: boolean
  /** What called for it, by whom and when. */
  opened: { v: string; by: string; at: number } | null
  /** The signature, or the last reading, that stands for how it is now; null while it is open. */
  signed: Sign | null
  /** Somebody signed it before the latest change. */
  signedBefore: boolean
  /** What a signature given now stands for. */
  covers: string
  /** Its checklist, if it is done item by item; each signature counts only for the present `covers`. */
  items: FollowUpItem[]
}

/** Every follow-up rule, as it stands on this car. A sign-off from before the latest change counts as open again. */
export const followUpsOf = derived((view: BoardView, carId: string): FollowUpStatus[] => {
  const values = valuesOfCar(view, carId)
  return view.followUpRules.live.map((rule) => statusOf(view, carId, rule, values))
})

export const openFollowUps = (view: BoardView, carId: string): FollowUpStatus[] =>
  followUpsOf(view, carId).filter((f) => f.state === 'open')

function statusOf(
  view: BoardView,
  carId: string,
  rule: KitRecord<'followUpRules'>,
  values: readonly CardValue[],
): FollowUpStatus {
  const record = view.followUps.get(joinId(carId, rule.id))
  const opened = record?.opened?.v ? { v: record.opened.v, by: record.opened.by, at: record.opened.at } : null
  const covers = coversOf(values, rule, record?.opened ?? null)
  const byReading = isClosedByReading(rule)
  const unread = byReading ? readingsOf(view, carId, rule) : null
  const latest = unread ? unread.last : (record?.signed ?? null)
  const items = view.checklistItems.live
    .filter((item) => !byReading && rule.checklistId !== undefined && item.checklistId === rule.checklistId)
    .map((item): FollowUpItem => {
      const check = view.checks.get(joinId(carId, item.id))?.signed
      return {
        id: item.id,
        text: item.text ?? '',
        caution: item.caution ?? null,
        signed: check?.covers === covers ? check : null,
      }
    })
  const isDone = unread ? unread.left === 0 : latest?.covers === covers
  const state = !opened ? 'not-called' : isDone ? 'signed' : 'open'
  return {
    ruleId: rule.id,
    name: rule.name ?? rule.id,
    caution: rule.caution ?? null,
    state,
    byReading,
    opened,
    signed: state === 'signed' ? latest : null,
    signedBefore: state === 'open' && !byReading && latest !== null,
    covers,
    items,
  }
}

/** The values that the rule is about: how many wait to be read, and the latest reading of those that were. */
function readingsOf(view: BoardView, carId: string, rule: KitRecord<'followUpRules'>) {
  const rows = cardRows(view, carId).filter(
    (r) =>
      r.parameter.needsReadBack &&
      r.fitted !== null &&
      rule.triggers?.some((t) => t === 'controller' || triggerMatches(t, r.parameter.id)),
  )
  const readings = rows.flatMap((r) => (r.readBack && r.value?.readBack ? [r.value.readBack] : []))
  const last = readings.reduce<Sign | null>((a, b) => (a && a.at >= b.at ? a : { by: b.by, at: b.at }), null)
  return { left: rows.length - readings.length, last }
}

/** All card values by their car, each car's in the board's order. */
const valuesByCar = derived((view: BoardView): ReadonlyMap<string, readonly CardValue[]> => {
  const cars = new Map<string, CardValue[]>()
  for (const value of view.cardValues.live) {
    const [car] = splitId(value.id)
    const own = cars.get(car)
    if (own) own.push(value)
    else cars.set(car, [value])
  }
  return cars
})
const valuesOfCar = derived(
  (view: BoardView, carId: string): readonly CardValue[] => valuesByCar(view).get(carId) ?? [],
)

/**
 * The digest of what triggered it: the stamps of the triggering fitted values (not only the values: a pinion that went off and came back has
 * disturbed the mesh all the same) and the latest opening.
 */
function coversOf(
  values: readonly CardValue[],
  rule: KitRecord<'followUpRules'>,
  opened: MeetingRecord<'followUps'>['opened'] | null,
): string {
  const stamps: [string, unknown][] = []
  for (const value of values) {
    if (!value.fitted) continue
    const parameterId = splitId(value.id)[1]
    if (rule.triggers?.some((t) => triggerMatches(t, parameterId))) stamps.push([parameterId, value.fitted])
  }
  return digestOf({ opened, stamps })
}
