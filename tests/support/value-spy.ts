import type * as Y from 'yjs'

/**
 * Writes down everything that a client's document is ever told: each value of each field, and the bytes of each update, so that even a value
 * that was overwritten within one message is found.
 */
export class ValueSpy {
  readonly #values = new Map<string, Set<string>>()
  #bytes = ''
  updates = 0

  constructor(doc: Y.Doc, collections: readonly string[]) {
    for (const collection of collections) {
      const map = doc.getMap(collection)
      const note = (keys: Iterable<string>) => {
        for (const key of keys) {
          const id = `${collection}/${key}`
          const seen = this.#values.get(id) ?? new Set()
          seen.add(JSON.stringify(map.get(key) ?? null))
          this.#values.set(id, seen)
        }
      }
      note(map.keys())
      map.observe((e) => note(e.keysChanged as Set<string>))
    }
    doc.on('update', (update: Uint8Array) => {
      this.updates++
      this.#bytes += Buffer.from(update).toString('latin1')
    })
  }

  /** What the field has ever held, as JSON texts. */
  seenAt(collection: string, key: string): string[] {
    return [...(this.#values.get(`${collection}/${key}`) ?? [])]
  }
  /** Did any update carry this text? ASCII only. */
  carried(text: string): boolean {
    return this.#bytes.includes(text)
  }
}
