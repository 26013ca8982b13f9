import { refuse, type Refusal } from '@/lib/core/result'
import { valueOf, type Change } from './collect-changes'
import type { Author, GuardParts } from './guard'
import { policyContext } from './policy-context'
import type { RoomDoc } from './room-doc'
import { touchedKeys, type Touched } from './touched-keys'
import type { VettedUpdate } from './vet-update'

/** What would be refused of an update, judged before anything of it is integrated. */
export type Foreseen = Pick<Change, 'collection' | 'key' | 'path' | 'before' | 'after' | 'plain'> & {
  kind: 'policy' | 'schema'
  why: Refusal
}

/** [S24] Whether the author's role may ever write any field that this update touches. An update that touches nothing is harmless. */
export function touchesGranted(
  update: VettedUpdate,
  board: RoomDoc,
  { role }: Author,
  { rules, kind }: Pick<GuardParts, 'rules' | 'kind'>,
): boolean {
  if (!rules.hasGrant) return true
  let touches = false
  for (const touched of touchedKeys(update, board)) {
    touches = true
    const path = touched && rules.parseKey(touched.key)
    if (path && rules.hasGrant(role, kind, touched.collection, path.field)) return true
  }
  return !touches
}

/**
 * What would be refused, each key by what the update wants there in the end, at most `most` of them. Edits of one update that lean on each
 * other are each judged by what the board has now, so this may foresee a refusal that would not come.
 */
export function foresee(
  update: VettedUpdate,
  board: RoomDoc,
  author: Author,
  parts: Omit<GuardParts, 'refusals' | 'steady'>,
  most: number,
): Foreseen[] {
  const { rules, kind } = parts
  const wishes = new Map<string, Touched>()
  for (const touched of touchedKeys(update, board)) {
    if (!touched) continue
    const name = `${touched.collection}/${touched.key}`
    if (touched.item || (touched.deletes && !wishes.get(name)?.item)) wishes.set(name, touched)
  }
  const ctx = policyContext(parts, author)
  const refused: Foreseen[] = []
  for (const { collection, key, item } of wishes.values()) {
    if (refused.length >= most) break
    const parsed = rules.parseKey(key)
    const path = parsed && { collection, ...parsed }
    const before = board.read(collection, key)
    const { value: after, plain } = item ? valueOf(item) : { value: undefined, plain: true }
    const at = { collection, key, path, before, after, plain }
    if (!path || !board.map(collection)) {
      const why = refuse(
        collection,
        '',
        'the board has no such collection or field',
        'Reload the page.',
      ).error
      refused.push({ ...at, kind: 'schema', why })
      continue
    }
    const may = rules.mayWrite(ctx, { doc: kind, ...path, before, after })
    if (!may.ok) {
      refused.push({ ...at, kind: 'policy', why: may.error })
      continue
    }
    const fits = plain
      ? rules.checkField(kind, collection, path.field, after)
      : refuse(path.field, '', 'only plain values can be kept', 'Enter text or a number.')
    if (!fits.ok) refused.push({ ...at, kind: 'schema', why: fits.error })
  }
  return refused
}

/** About what a refused key leaves in the document for good: what is left of the attempt and of the value put back, and the name of a new key. */
export const bytesLeftBy = ({ key, before }: Pick<Change, 'key' | 'before'>): number =>
  32 + (before === undefined ? 32 + (key?.length ?? 0) : 0)
