import fc from '../../support/fast-check'
import * as Y from 'yjs'
import { expect, it, vi } from 'vitest'
import { checkField, COLLECTIONS, type CollectionDef, type DocKind } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import { columnsCsv, explainColumns, listColumns, planList, UTF8_MARK, writeList } from '@/lib/lists'
import { guarded, unguarded } from '@/lib/lists/cell-text'
import { optionsOf } from '@/lib/lists/list-columns'
import { listRecords } from '@/lib/lists/list-records'
import { readTable } from '@/lib/tables'
import { must } from '../../support/must'
import { NOW, lists, docsOf, as, everything } from './list-board'

vi.setConfig({ testTimeout: 180_000 })

it('every list of the demo comes back and changes nothing, with a mark and without, by comma and with any line break', () => {
  const docs = docsOf()
  const before = everything(docs)
  let rows = 0
  for (const [doc, name] of lists) {
    const csv = writeList(docs, doc, name, { removed: true })
    for (const text of [csv, UTF8_MARK + csv, csv.replaceAll('\r\n', '\n')]) {
      const plan = must(planList(as(docs), doc, name, text))
      expect([name, plan.changes, plan.refused, plan.problems, plan.unknown]).toEqual([name, [], [], [], []])
      expect(plan.missing).toBe(0)
    }
    rows += must(planList(as(docs), doc, name, csv)).same
  }
  expect(rows).toBeGreaterThan(500)
  expect(everything(docs)).toBe(before)
})

const trap = fc.constantFrom(
  '=1+1',
  '+1',
  '-1',
  '@sum',
  '\t=x',
  "'=x",
  "''@",
  '＝1',
  '"',
  'a"b',
  'a,b',
  'a\nb',
  'a\r\nb',
  ' x ',
  '',
  'שלום, עולם',
  '‏ימין',
  'سيارة',
  '1',
  'true',
  'no',
  '"q"',
  '[x]',
  'x [y]',
)
const textOf = fc.oneof(trap, fc.string({ unit: 'grapheme', maxLength: 12 }), fc.string({ maxLength: 12 }))
const anyJson: fc.Arbitrary<Json> = fc.oneof(
  textOf,
  fc.integer(),
  fc.double({ noNaN: true, noDefaultInfinity: true }),
  fc.boolean(),
  fc.array(fc.double({ min: 1, max: 300, noNaN: true }), { maxLength: 4 }),
)
/** A value that the field takes, made from a random one: what a schema refuses is tried in other forms, and left out at last. */
function fitting(
  doc: DocKind,
  collection: string,
  field: string,
  seed: Json,
  signer: string,
): Json | undefined {
  const column = listColumns(doc, collection).find((c) => c.field === field)
  const n = typeof seed === 'number' ? Math.abs(seed) : JSON.stringify(seed).length
  const simple: Json[] = [
    seed,
    n % 100,
    Math.round(n % 100),
    60 + (n % 40),
    NOW + Math.round(n % 1e9),
    n % 2 > 1,
    'abc',
    'x1',
    ...(column ? optionsOf(column) : []),
    0.5,
    1,
    5,
    [1.5, 20],
    ['pinion', '=spur'],
  ]
  const some: Json[] = [
    { laps: 12, seconds: 305.25, reason: typeof seed === 'string' ? seed : 'x' },
    { wordId: 'w1', strength: 2, place: typeof seed === 'string' ? seed : 'hairpin' },
    [{ kind: 'corner', grip: 1, name: typeof seed === 'string' ? seed : 'a' }],
  ]
  for (const v of [...simple, ...some])
    for (const value of [
      v,
      { v, by: signer, at: NOW },
      { v, by: signer, at: NOW + 1, why: 'because = so' },
      { by: signer, at: NOW },
    ])
      if (checkField(doc, collection, field, value).ok && value !== null) return value
  return undefined
}

it('random boards come back from their lists and change nothing; on an empty board the lists write the same values', () => {
  let values = 0
  let compared = 0
  fc.assert(
    fc.property(
      fc.constantFrom(...lists),
      fc.array(
        fc.tuple(
          fc.stringMatching(/^[A-Za-z0-9_-]{1,12}$/),
          fc.array(anyJson, { minLength: 8, maxLength: 8 }),
        ),
        { minLength: 1, maxLength: 4 },
      ),
      ([doc, collection], records) => {
        const docs = { kit: new Y.Doc(), meeting: new Y.Doc() }
        const fields = Object.keys(
          (COLLECTIONS[doc] as Record<string, CollectionDef>)[collection]?.fields ?? {},
        )
        for (const [id, seeds] of records)
          for (const [i, field] of fields.entries()) {
            const value =
              i % 3 === 2 && seeds.length % 2
                ? undefined
                : fitting(doc, collection, field, seeds[i % 8] ?? '', 'p1')
            if (value !== undefined) docs[doc].getMap(collection).set(`${id}:${field}`, value)
            if (value !== undefined) values++
          }
        const before = everything(docs)
        const csv = writeList(docs, doc, collection, { removed: true })
        const back = must(planList(as(docs), doc, collection, csv))
        expect([back.changes, back.refused, back.problems]).toEqual([[], [], []])
        expect(everything(docs)).toBe(before)
        // What a spreadsheet computes or runs is nowhere: no cell begins with a sign of a formula, except plain negative numbers.
        for (const cell of cellsOf(csv)) expect(cell).not.toMatch(/^[=+@\t\r]|^-(?![\d.]+(e[+-]?\d+)?$)/)
        const empty = { kit: new Y.Doc(), meeting: new Y.Doc() }
        const plan = must(planList(as(empty), doc, collection, csv))
        // Proofs are made on the card alone, roles by the server; and these boards were filled without asking whether a range is one.
        expect(
          plan.problems.filter(
            (p) =>
              !/is a proof|is not below|larger than the range|a manager may not change it|is on line \d+ already/.test(
                p.reason,
              ),
          ),
        ).toEqual([])
        const noted = (v: Json | undefined) =>
          typeof v === 'object' && v !== null && !Array.isArray(v) ? (v['v'] ?? null) : (v ?? null)
        // Every value that was put in comes out, except in rows that are told as left out.
        const out = new Set(plan.problems.map((p) => p.line))
        const rows = must(
          readTable(csv.replaceAll('\r\n', '\n').replaceAll('\r', '\n'), ',', { exact: true }),
        ).rows
        const after = new Map(plan.changes.map((c) => [`${c.recordId}:${c.field}`, c.after]))
        expect(rows).toHaveLength(listRecords(docs[doc], collection).length + 1)
        for (const { line, cells } of rows.slice(1))
          for (const field of fields) {
            const id = unguarded(cells[0] ?? '')
            const was = docs[doc].getMap<Json>(collection).get(`${id}:${field}`)
            const put = plainBreaks(noted(was))
            if (was === undefined || isEmpty(put) || out.has(line)) continue
            expect([field, plainBreaks(noted(after.get(`${id}:${field}`)))]).toEqual([field, put])
            compared++
          }
      },
    ),
    { numRuns: 1000, seed: 16 },
  )
  expect(values).toBeGreaterThan(5000)
  expect(compared).toBeGreaterThan(values / 4)
})
const isEmpty = (v: unknown) =>
  v === null || (typeof v === 'object' && !Array.isArray(v) && Object.keys(v).length === 0)
/** In a list an empty text and none are the same, and a line break is one whatever it is made of. */
const plainBreaks = (v: Json): unknown =>
  JSON.parse(
    JSON.stringify(v === '' ? null : v)
      .replaceAll('\\r\\n', '\\n')
      .replaceAll('\\r', '\\n'),
    (_, part: Json) =>
      typeof part === 'object' && part !== null && !Array.isArray(part)
        ? Object.fromEntries(Object.entries(part).filter(([, x]) => x !== ''))
        : part,
  )

/** Cells by RFC 4180's grammar, read by hand. */
function cellsOf(csv: string): string[] {
  const cells: string[] = []
  for (const m of csv.matchAll(/(?:"((?:[^"]|"")*)"|([^,\r\n"]*))(?:,|\r\n)/g))
    cells.push(m[1]?.replaceAll('""', '"') ?? m[2] ?? '')
  return cells
}

it('any text goes out harmless and comes back the same', () => {
  fc.assert(
    fc.property(textOf, (text) => {
      expect(unguarded(guarded(text))).toBe(text)
      expect(guarded(text)).not.toMatch(/^\s*[=+\-@＝＋－＠]|^[\t\r]/)
    }),
    { numRuns: 2000 },
  )
})

it('every column has one name in its list, and the page says what each holds', () => {
  for (const [doc, name] of lists) {
    const words = explainColumns(doc, name)
    const headers = words.map((w) => w.header.toLowerCase())
    expect([name, headers.length]).toEqual([name, new Set(headers).size])
    for (const w of words) expect([w.header, w.holds]).toEqual([w.header, expect.stringMatching(/\.$/)])
  }
  expect(explainColumns('kit', 'cars').find((c) => c.header === 'Weight ready to run (g)')).toEqual({
    header: 'Weight ready to run (g)',
    holds: 'A number from 500 to 5000 g.',
    who: 'manager, mechanic',
  })
  expect(columnsCsv()).toContain(
    'kit,cars,Weight ready to run (g),A number from 500 to 5000 g.,"manager, mechanic"\r\n',
  )
})
