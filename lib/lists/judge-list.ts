import {
  canWriteNow,
  checkField,
  foldedLabel,
  hasOneLabel,
  labelIsTaken,
  labelsOf,
  type DocKind,
  type EditContext,
} from '../board'
import { refuse, type Refusal } from '../core/result'
import type { ListChange, ListPlan } from './list-plan'

type Judged = Pick<ListPlan, 'changes' | 'refused' | 'problems' | 'added' | 'changed'>

/**
 * Each change against schema, policy and labels, as the board would be with all of them. Of a new record all is written or nothing: half of one
 * is no pack and no car.
 */
export function judgeList(
  ctx: EditContext,
  doc: DocKind,
  collection: string,
  changes: readonly ListChange[],
): Judged {
  const judged: Judged = { changes: [], refused: [], problems: [], added: 0, changed: 0 }
  const may = canWriteNow(
    ctx,
    changes.map((c) => ({ doc, collection, ...c })),
  )
  const out = new Map<ListChange, Refusal>()
  for (const [i, change] of changes.entries()) {
    const fits = checkField(doc, collection, change.field, change.after)
    const allowed = may[i]
    if (change.isStale) out.set(change, isAhead(change).error)
    else if (!fits.ok) out.set(change, fits.error)
    else if (allowed?.ok === false) out.set(change, allowed.error)
  }
  let kept = withoutRefused(changes, out)
  // A label that is refused stays what it was, which another may have counted on.
  for (let found = twinsOf(ctx, doc, collection, kept); found.size > 0;) {
    for (const [change, why] of found) out.set(change, why)
    kept = withoutRefused(changes, out)
    found = twinsOf(ctx, doc, collection, kept)
  }
  for (const [change, why] of out)
    if (change.isNew) judged.problems.push({ ...why, line: change.line, severity: 'bad' })
    else judged.refused.push({ change, why })
  judged.changes = kept
  const rows = new Map(kept.map((c) => [c.recordId, c.isNew]))
  for (const isNew of rows.values()) judged[isNew ? 'added' : 'changed']++
  return judged
}

const isAhead = ({ label, is }: ListChange) =>
  refuse(
    label,
    is,
    'was changed on the board after the file was made',
    'It stays as it is. To change it, download the list again, and leave its “at” column alone.',
  )

/** What is left: a new record of which a value is refused goes whole. */
function withoutRefused(changes: readonly ListChange[], out: ReadonlyMap<ListChange, Refusal>): ListChange[] {
  const dropped = new Set([...out.keys()].filter((c) => c.isNew).map((c) => c.recordId))
  return changes.filter((c) => !out.has(c) && !dropped.has(c.recordId))
}

/** Labels that would stand twice once all of these are written; two that change places are fine. Of a pair in the file the later line is refused. */
export function twinsOf(
  ctx: EditContext,
  doc: DocKind,
  collection: string,
  changes: readonly ListChange[],
): Map<ListChange, Refusal> {
  const twins = new Map<ListChange, Refusal>()
  const written = changes.filter((c) => c.field === 'label')
  if (doc !== 'kit' || !hasOneLabel(collection) || written.length === 0) return twins
  const changeOf = new Map(written.map((c) => [c.recordId, c]))
  const owners = new Map<string, string[]>()
  const pending = new Map(changes.map((c) => [`${c.recordId}:${c.field}`, c.after]))
  for (const [recordId, label] of labelsOf(ctx.docs, collection, pending)) {
    const list = owners.get(foldedLabel(label))
    if (list) list.push(recordId)
    else owners.set(foldedLabel(label), [recordId])
  }
  for (const ids of owners.values()) {
    if (ids.length < 2) continue
    const fromFile = ids.flatMap((id) => changeOf.get(id) ?? []).sort((a, b) => a.line - b.line)
    const isOnBoard = fromFile.length < ids.length
    const [first, ...others] = fromFile
    if (isOnBoard && first) twins.set(first, labelIsTaken(collection, first.after).error)
    for (const change of others)
      twins.set(
        change,
        refuse('Label', change.after, `is on line ${first?.line ?? 0} already`, 'Give each its own.').error,
      )
  }
  return twins
}
