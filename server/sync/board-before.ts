import type { Json } from '@/lib/core/json'
import type { Change } from './collect-changes'
import type { BoardReader, DocKind } from './guard-rules'

/** The board as it was before one update, while what is accepted of that update already counts on `now`. */
export class BoardBefore implements BoardReader {
  readonly #was = new Map<string, Json | undefined>()

  constructor(
    readonly now: BoardReader,
    readonly kind: DocKind,
    changes: readonly Change[],
  ) {
    for (const { collection, key, before } of changes) this.#was.set(`${collection}/${key ?? ''}`, before)
  }

  field(doc: DocKind, collection: string, recordId: string, field: string): Json | undefined {
    const key = `${collection}/${recordId}:${field}`
    return doc === this.kind && this.#was.has(key)
      ? this.#was.get(key)
      : this.now.field(doc, collection, recordId, field)
  }

  ids(doc: DocKind, collection: string): Iterable<string> {
    return this.now.ids(doc, collection)
  }
}
