import * as Y from 'yjs'
import { describe, expect, it } from 'vitest'
import type { Json } from '@/lib/core/json'
import { comesEarly } from '@/server/sync/early'
import type { GuardRules } from '@/server/sync/guard-rules'
import { author, guardBench, newsOf } from './guard-bench'
import { smallRules } from './small-rules'

const coversOf = (value: unknown) =>
  typeof value === 'object' && value !== null && 'covers' in value ? value.covers : undefined

type Early = NonNullable<GuardRules['early']>
/** A car's shape says by `covers` on which weight of the car it rests. */
const early: Early = {
  doc: 'meeting',
  collection: 'cars',
  field: 'shape',
  isOne: (value) => coversOf(value) !== undefined,
  isEarly: (read, id, after) => coversOf(after) !== read.field('meeting', 'cars', id, 'weight'),
}
/** To these rules every shape of a car comes early. */
const always: Early = { ...early, isEarly: () => true }

function bench(parts: Partial<GuardRules> = {}, start: (doc: Y.Doc) => void = () => undefined) {
  const rules: GuardRules = { ...smallRules, early, ...parts }
  const b = guardBench({ rules })
  b.judge(
    newsOf(b.page(), (d) => {
      d.getMap('notes').set('n1:text', 'there')
      start(d)
    }),
    author('manager'),
  )
  return {
    ...b,
    /** Whether the edit, made on a page that has the board as it is, comes early. */
    isEarly: (edit: (doc: Y.Doc) => void) =>
      comesEarly(b.vetted(newsOf(b.page(), (d) => d.transact(() => edit(d)))), b.board, author('manager'), {
        ...b.parts,
        rules,
      }),
  }
}
const put = (collection: string, key: string, value: Json) => (doc: Y.Doc) =>
  void doc.getMap(collection).set(key, value)
const shape = put('cars', 'c1:shape', { covers: 900 })

describe('[S4] an update comes early', () => {
  it('when what it rests on is neither on the board nor in it', () => {
    expect(bench().isEarly(shape)).toBe(true)
    expect(bench({}, put('cars', 'c1:weight', 900)).isEarly(shape)).toBe(false)
    expect(bench({}, put('cars', 'c1:weight', 901)).isEarly(shape)).toBe(true)
  })

  it('not when the ground comes in the update itself, before or after what rests on it', () => {
    const weight = put('cars', 'c1:weight', 900)
    expect(bench().isEarly((d) => (weight(d), shape(d)))).toBe(false)
    expect(bench().isEarly((d) => (shape(d), weight(d)))).toBe(false)
  })

  it('by what the update itself puts in the place of the ground, or takes away', () => {
    const has = (value: number) => bench({}, put('cars', 'c1:weight', value))
    expect(has(900).isEarly((d) => (shape(d), put('cars', 'c1:weight', 800)(d)))).toBe(true)
    expect(
      has(900).isEarly((d) => {
        shape(d)
        d.getMap('cars').delete('c1:weight')
      }),
    ).toBe(true)
    // Another car's, another collection's and another field's say nothing of it.
    const others = (d: Y.Doc) => {
      put('cars', 'c2:weight', 800)(d)
      put('notes', 'c1:weight', 800)(d)
      put('cars', 'c1:grip', 'low')(d)
      d.getMap('notes').delete('n1:text')
      shape(d)
    }
    expect(has(900).isEarly(others)).toBe(false)
    expect(has(800).isEarly(others)).toBe(true)
  })

  it('what takes the place of a value counts, not that the value goes', () => {
    const b = bench({}, put('cars', 'c1:weight', 800))
    const page = b.page()
    // The overwritten value is among what the update deletes.
    const update = newsOf(page, (d) => (put('cars', 'c1:weight', 900)(d), shape(d)))
    expect(comesEarly(b.vetted(update), b.board, author('manager'), b.parts)).toBe(false)
  })

  it('when one of several comes early', () => {
    const b = bench({}, put('cars', 'c1:weight', 900))
    const both = (d: Y.Doc) => (shape(d), put('cars', 'c2:shape', { covers: 700 })(d))
    expect(b.isEarly(both)).toBe(true)
    expect(b.isEarly((d) => (shape(d), put('cars', 'c2:grip', 'low')(d)))).toBe(false)
    expect(
      b.isEarly((d) => (put('cars', 'c2:grip', 'low')(d), put('cars', 'c1:shape', { covers: 1 })(d))),
    ).toBe(true)
  })

  it('by the kit’s ground as it is there, whatever the meeting writes under the same name', () => {
    const inKit: Early = {
      ...early,
      isEarly: (read, id, after) => coversOf(after) !== read.field('kit', 'cars', id, 'weight'),
    }
    const b = bench({ early: inKit })
    const update = newsOf(b.page(), (d) => (put('cars', 'c1:weight', 900)(d), shape(d)))
    const judged = (kitWeight: number) =>
      comesEarly(b.vetted(update), b.board, author('manager'), {
        ...b.parts,
        reader: { field: (doc) => (doc === 'kit' ? kitWeight : undefined), ids: () => [] },
      })
    expect([judged(900), judged(800)]).toEqual([false, true])
  })

  it('by the records that there are', () => {
    const byIds: Early = { ...early, isEarly: (read) => ![...read.ids('meeting', 'notes')].includes('n7') }
    expect(bench({ early: byIds }).isEarly(shape)).toBe(true)
    expect(bench({ early: byIds }, put('notes', 'n7:text', 'x')).isEarly(shape)).toBe(false)
  })
})

describe('[S4] an update is not kept waiting', () => {
  it('by rules that know of no such field, or of one in the other document', () => {
    const { early: _, ...without } = { ...smallRules, early }
    const b = guardBench({ rules: without })
    const update = b.vetted(newsOf(b.page(), shape))
    expect(comesEarly(update, b.board, author('manager'), b.parts)).toBe(false)
    expect(bench({ early: { ...always, doc: 'kit' } }).isEarly(shape)).toBe(false)
  })

  it('of somebody whose role may not write the field at all', () => {
    expect(bench({ early: always, hasGrant: () => false }).isEarly(shape)).toBe(false)
    const asked: unknown[] = []
    const hasGrant: GuardRules['hasGrant'] = (...about) => (asked.push(about), true)
    expect(bench({ early: always, hasGrant }).isEarly(shape)).toBe(true)
    expect(asked).toContainEqual(['manager', 'meeting', 'cars', 'shape'])
  })

  it('for a value that rests on nothing, nor for another field or collection', () => {
    const b = bench({ early: always })
    expect(b.isEarly(shape)).toBe(true)
    expect(b.isEarly(put('cars', 'c1:shape', { round: true }))).toBe(false)
    expect(b.isEarly(put('cars', 'c1:grip', { covers: 900 }))).toBe(false)
    expect(b.isEarly(put('notes', 'c1:shape', { covers: 900 }))).toBe(false)
    expect(b.isEarly(put('cars', 'no key', { covers: 900 }))).toBe(false)
  })

  it('for values that are no plain ones, or that its author has replaced', () => {
    const b = bench({ early: always })
    const odd = (d: Y.Doc) => {
      d.getMap('cars').set('c1:shape', new Y.Map())
      put('notes', 'n1:shape', { covers: 900 })(d)
    }
    expect(b.isEarly(odd)).toBe(false)
    expect(
      b.isEarly((d) => {
        shape(d)
        d.getMap('cars').delete('c1:shape')
      }),
    ).toBe(false)
  })

  it('nor judged at all by list content beside it', () => {
    const withList = (d: Y.Doc) => {
      d.getArray('boats').push(['x'])
      shape(d)
    }
    expect(bench().isEarly(withList)).toBe(true)
    expect(bench({}, put('cars', 'c1:weight', 900)).isEarly(withList)).toBe(false)
  })
})
