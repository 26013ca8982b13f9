import * as Y from 'yjs'
import type { DeleteRanges, VettedUpdate } from './vet-update'

/**
 * Integrate a vetted update inside a transaction of `doc`. It does what `Y.applyUpdate` does, minus a second decoding and minus the
 * pending store, which vetting has made unnecessary; the transaction stays local, so Yjs keeps the document's own clientID.
 * @throws when the update was not vetted against this very state.
 */
export function integrate(tr: Y.Transaction, update: VettedUpdate): void {
  const { doc } = tr
  const { store } = doc
  for (const struct of update.structs) {
    const offset = Y.getState(store, struct.id.client) - struct.id.clock
    if (struct instanceof Y.Item) {
      const parent: unknown = struct.parent
      if (typeof parent === 'string') struct.parent = doc.get(parent)
    }
    if (offset < 0 || struct.getMissing(tr, store) !== null) throw new Error('The update was not vetted')
    struct.integrate(tr, offset)
  }
  if (!update.more) applyDeletes(tr, update.deletes)
}

function applyDeletes(tr: Y.Transaction, ds: DeleteRanges): void {
  for (const [client, ranges] of ds.clients) {
    const structs = tr.doc.store.clients.get(client)
    if (!structs) continue
    for (const { clock, len } of ranges) {
      const end = clock + len
      if (len === 0) continue
      let i = Y.findIndexSS(structs, clock)
      for (let s = structs[i]; s && s.id.clock < end; s = structs[++i]) {
        if (!(s instanceof Y.Item) || s.deleted) continue
        if (s.id.clock < clock) s = Y.getItemCleanStart(tr, Y.createID(client, clock))
        if (s.id.clock + s.length > end) Y.getItemCleanStart(tr, Y.createID(client, end))
        // Splitting put the right half behind: the loop meets it (and its end) next.
        if (s.id.clock < end) s.delete(tr)
      }
    }
  }
}
