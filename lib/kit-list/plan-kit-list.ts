import { sameLabel } from './label-range'
import { describeField, runEdit, type BoardView, type EditContext, type KitCollection } from '../board'
import { newId } from '../core/id'
import type { Json } from '../core/json'
import { ok, refuse, type Result } from '../core/result'
import { badRow, type RowProblem } from '../tables'
import { nameField } from './kit-columns'
import { childrenOf, likeRecord } from './like-record'
import type { KitList } from './read-kit-list'

export interface PlannedKit {
  line: number
  name: string
  /** Null for a new one. */
  recordId: string | null
  /** What is written, by field: of one that is in the kit already, only what differs. */
  values: Readonly<Record<string, Json>>
  /** What stood there, of the fields that change. */
  before: Readonly<Record<string, Json>>
}

export interface KitPlan {
  collection: KitCollection
  added: PlannedKit[]
  changed: PlannedKit[]
  /** In the kit as listed. */
  same: number
  /** Fields that every new one has beside its own, such as the speed control of a parameter. */
  fixed: Readonly<Record<string, Json>>
  /** The record that new ones are copies of; what hangs on it goes along. */
  like: string | null
  /** Copies that can’t be made: somebody has the name. A copy never changes what is there. */
  taken: RowProblem[]
}

type Loose = { id: string; [field: string]: unknown }

/**
 * What a list would do to the kit: a name that is in the kit changes that record (of copies it is refused), every other one is new. Nothing is
 * written.
 *
 * @param fixed what every row has: a parameter's speed control. Records that differ in it are other lists'.
 * @param like new ones are copies of this record, but for what is its own
 */
export function planKitList(
  view: BoardView,
  collection: KitCollection,
  list: KitList,
  {
    fixed = {},
    like = null,
  }: { fixed?: Record<string, Json> | undefined; like?: string | null | undefined } = {},
): KitPlan {
  const own = nameField(collection)
  const rows = (view[collection].live as unknown as readonly Loose[]).filter((r) =>
    Object.entries(fixed).every(([f, v]) => r[f] === v),
  )
  const base = like === null ? {} : likeRecord(view, collection, like)
  const plan: KitPlan = { collection, added: [], changed: [], same: 0, fixed, like, taken: [] }
  for (const { line, name, values } of list.rows) {
    const there = rows.find((r) => sameLabel(String(r[own] ?? ''), name))
    if (!there) {
      plan.added.push({ line, name, recordId: null, values: { ...base, ...values }, before: {} })
      continue
    }
    if (like !== null) {
      const { label } = describeField('kit', collection, own)
      plan.taken.push(badRow(line, label, name, 'is in the kit already', 'A copy needs a name of its own.'))
      continue
    }
    const changes = Object.entries(values).filter(
      ([f, v]) => JSON.stringify(there[f] ?? null) !== JSON.stringify(v),
    )
    if (changes.length === 0) plan.same++
    else
      plan.changed.push({
        line,
        name,
        recordId: there.id,
        values: Object.fromEntries(changes),
        before: Object.fromEntries(changes.map(([f]) => [f, (there[f] ?? null) as Json])),
      })
  }
  return plan
}

/** Collections whose records stand in the order in which they were added. */
const ORDERED = new Set<string>(['packs', 'checklists', 'checklistItems', 'controllerParameters'])

/** Carry a plan out in one edit. */
export function addKitList(ctx: EditContext, view: BoardView, plan: KitPlan): Result<number> {
  const { collection, fixed } = plan
  if (plan.added.length + plan.changed.length === 0)
    return refuse('List', '', 'changes nothing', 'Enter at least one that is not in the kit yet.')
  return runEdit(ctx, `add-list-${collection}`, (w) => {
    const own = nameField(collection)
    let order = Math.max(
      0,
      ...(view[collection].live as readonly object[]).map((r) =>
        'order' in r && typeof r.order === 'number' ? r.order : 0,
      ),
    )
    const children = plan.like === null ? null : childrenOf(view, collection, plan.like)
    for (const { name, values } of plan.added) {
      const id = newId()
      w.put('kit', collection, id, own, name)
      for (const [field, v] of Object.entries({ ...fixed, ...values })) w.put('kit', collection, id, field, v)
      // Packs of one order are listed by their labels; what has an order of its own goes on counting.
      if (ORDERED.has(collection))
        w.put('kit', collection, id, 'order', collection === 'packs' ? order : ++order)
      for (const record of children?.records ?? []) {
        const child = newId()
        for (const [field, v] of Object.entries({ ...record, [children?.parent ?? '']: id }))
          w.put('kit', children?.collection ?? '', child, field, v)
      }
    }
    for (const { recordId, values } of plan.changed)
      for (const [field, v] of Object.entries(values)) w.put('kit', collection, recordId ?? '', field, v)
    return ok(plan.added.length + plan.changed.length)
  })
}
