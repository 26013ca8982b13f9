import { ok, refuse, type Result } from '../../core/result'
import type { Json } from '../../core/json'
import { docOf, type BoardDocs } from '../board-doc'
import { fieldDef, type DocKind } from '../collections'
import { formatKey, parseKey } from '../flat-key'
import type { EditContext } from '../write-session'

/** Things that people call by their label, and what one of them is called. */
const LABELLED: Readonly<Record<string, string>> = {
  packs: 'pack',
  tireSets: 'tire set',
  chargers: 'charger',
}
/** Whether things of this kind are known by labels of which each stands once. */
export const hasOneLabel = (collection: string): boolean => Object.hasOwn(LABELLED, collection)

/** Blanks around a label and its case tell nobody two things apart. */
export const foldedLabel = (label: string): string => label.trim().toLowerCase()

/** What each thing of a kind that is not removed is called, by record: as it would be with `pending` written, by flat key. */
export function labelsOf(
  docs: BoardDocs,
  collection: string,
  pending: ReadonlyMap<string, Json> = new Map(),
): Map<string, string> {
  const map = docOf(docs, 'kit')?.getMap<Json>(collection)
  const labels = new Map<string, string>()
  const stored = map ? [...map.entries()] : []
  for (const [key, value] of [...stored, ...pending]) {
    const parts = parseKey(key)
    if (parts?.field !== 'label') continue
    const removed = formatKey(parts.recordId, 'removed')
    const isRemoved = pending.has(removed) ? pending.get(removed) : map?.get(removed)
    const label = pending.get(key) ?? value
    if (typeof label === 'string' && label.trim() !== '' && isRemoved !== true)
      labels.set(parts.recordId, label)
    else labels.delete(parts.recordId)
  }
  return labels
}

export const labelIsTaken = (collection: string, label: Json): ReturnType<typeof refuse> =>
  refuse(
    fieldDef('kit', collection, 'label')?.label ?? 'Label',
    typeof label === 'string' ? label.trim() : '',
    `is the label of another ${LABELLED[collection] ?? 'thing'}`,
    'Use another one so nobody grabs the wrong one.',
  )

/**
 * Two things of a kind with one label can't be told apart at the charger or on the shelf. Refused where it is written; two phones that were
 * offline can still do it, since each is right alone.
 */
export function checkLabelIsFree(
  ctx: EditContext,
  t: { doc: DocKind; collection: string; recordId: string | null; label: Json | undefined },
): Result<void> {
  if (t.doc !== 'kit' || !hasOneLabel(t.collection) || typeof t.label !== 'string') return ok(undefined)
  const wanted = foldedLabel(t.label)
  for (const [recordId, label] of labelsOf(ctx.docs, t.collection))
    if (recordId !== t.recordId && foldedLabel(label) === wanted) return labelIsTaken(t.collection, t.label)
  return ok(undefined)
}
