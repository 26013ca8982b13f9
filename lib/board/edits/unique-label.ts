import { ok, refuse, type Result } from '../../core/result'
import type { Json } from '../../core/json'
import { docOf } from '../board-doc'
import { fieldDef, type DocKind } from '../collections'
import { parseKey } from '../flat-key'
import type { EditContext } from '../write-session'

/** Things that people call by their label, and what one of them is called. */
const LABELLED: Readonly<Record<string, string>> = {
  packs: 'pack',
  tireSets: 'tire set',
  chargers: 'charger',
}
const folded = (label: string): string => label.trim().toLowerCase()

/**
 * Two things of a kind with one label can't be told apart at the charger or on the shelf. Refused where it is written; two phones that were
 * offline can still do it, since each is right alone.
 */
export function checkLabelIsFree(
  ctx: EditContext,
  t: { doc: DocKind; collection: string; recordId: string | null; label: Json | undefined },
): Result<void> {
  const what = LABELLED[t.collection]
  const map = docOf(ctx.docs, t.doc)?.getMap<Json>(t.collection)
  if (!what || !map || t.doc !== 'kit' || typeof t.label !== 'string') return ok(undefined)
  const wanted = folded(t.label)
  for (const [key, value] of map.entries()) {
    const parts = parseKey(key)
    if (parts?.field !== 'label' || parts.recordId === t.recordId || typeof value !== 'string') continue
    if (folded(value) !== wanted || map.get(`${parts.recordId}:removed`) === true) continue
    return refuse(
      fieldDef(t.doc, t.collection, 'label')?.label ?? 'Label',
      t.label.trim(),
      `is the label of another ${what}`,
      'Use another one so nobody grabs the wrong one.',
    )
  }
  return ok(undefined)
}
