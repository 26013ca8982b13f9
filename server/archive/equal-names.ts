import type * as Y from 'yjs'
import { collectionDef, foldedLabel } from '@/lib/board'
import type { ComparedRoom } from './compare-room'
import { valuesOf } from './read-document'

/** What people call things of these lists by. */
const CALLED_BY = new Set(['people/name', 'cars/name', 'packs/label', 'tireSets/label', 'chargers/label'])
const MOST = 20

/** Things of the kit that would be new here and are called what another one is called already: a note for each, since nobody could tell them apart. */
export function notesOnEqualNames(here: Y.Doc, { values }: ComparedRoom): string[] {
  const known = new Set<string>()
  const removed = new Set<string>()
  for (const { collection, recordId, field, value } of valuesOf('kit', here))
    if (field === 'removed' && value === true) removed.add(`${collection}/${recordId}`)
  for (const { collection, recordId, field, value } of valuesOf('kit', here))
    if (CALLED_BY.has(`${collection}/${field}`) && typeof value === 'string')
      if (!removed.has(`${collection}/${recordId}`)) known.add(`${collection}/${foldedLabel(value)}`)
  const notes = values.flatMap((v) => {
    if (v.verdict !== 'added' || typeof v.archive !== 'string') return []
    if (!CALLED_BY.has(`${v.collection}/${v.field}`)) return []
    if (!known.has(`${v.collection}/${foldedLabel(v.archive)}`)) return []
    const label = collectionDef('kit', v.collection)?.label ?? v.collection
    return [`${label} “${v.archive}” is on this board already, as another one: there will be two.`]
  })
  const more = notes.length - MOST
  return more > 0 ? [...notes.slice(0, MOST), `And ${more} more that are called alike.`] : notes
}
