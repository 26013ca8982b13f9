import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { beforeAll, describe, expect, test } from 'vitest'
import { shownValue } from '@/app/words/shown-value'
import { KIT_SECTIONS } from '@/app/kit/kit-sections'
import { buildDemo } from '@/demo/seed'
import { BoardReading, exportDoc, parseKey, type BoardView } from '@/lib/board'
import {
  cardRows,
  cardTicket,
  factsOf,
  lapProjections,
  looseEnds,
  nextRunOf,
  projectionBasis,
  quickProjections,
  runsOf,
} from '@/lib/card'
import { settingText } from '@/lib/core/setting-text'
import { speedsIn } from '@/lib/core/speed-unit'

const NOW = Date.UTC(2026, 8, 12, 11, 4, 31)
let boards: ReturnType<typeof buildDemo>
let view: BoardView
beforeAll(() => {
  boards = buildDemo(NOW)
  view = new BoardReading({ kit: boards.kit, meeting: boards.today }).view()
})

/** What is wrong with how a figure stands in a text; ids, times, ranges and names with numbers are none. */
function faults(text: string): string[] {
  const found: [RegExp, string][] = [
    [/(^|[\s(→“])-\d/, 'a hyphen for a minus'],
    [/\d °/, 'a blank before a degree sign'],
    [/(?<![\d.,])\d{5,}(?= )/, 'a large number without groups'],
    [/\d(mAh|mm|rpm|mΩ|cSt)\b/, 'a unit without its blank'],
    [/\b1?\d:\d\d ?[AP]M\b/i, 'AM or PM'],
    [/-0(\.0+)?\b(?!\d)/, 'minus nothing'],
  ]
  return found.flatMap(([bad, what]) => (bad.test(text) ? [`${what}: ${text}`] : []))
}

describe('every figure of the demo is written one way', () => {
  test('cards, their tickets, projections with their words, facts and loose ends', () => {
    const runs = runsOf(view, NOW)
    const texts: string[] = []
    for (const car of view.cars.live) {
      const run = nextRunOf(runs, car.id)
      for (const r of cardRows(view, car.id))
        texts.push(settingText(r.assigned, r.parameter.unit), settingText(r.fitted, r.parameter.unit))
      const basis = projectionBasis(view, car.id, run)
      for (const p of [...quickProjections(basis).figures, ...lapProjections(basis, false).figures])
        texts.push(`${p.text} ${p.unit.replace(/^°/, '')}`, p.detail, speedsIn(p.detail, 'mph'))
      texts.push(...cardTicket(view, car.id, run).loose.map((l) => l.text))
      if (run) texts.push(...factsOf(view, run).flatMap((f) => f.missing))
    }
    for (const end of looseEnds(view, NOW, runs)) texts.push(end.title, end.why)
    expect(texts.length).toBeGreaterThan(800)
    expect(texts.flatMap(faults)).toEqual([])
  })

  test('every value that a history could show, and every row of the kit’s lists', () => {
    const texts: string[] = []
    for (const [kind, doc] of [
      ['kit', boards.kit],
      ['meeting', boards.today],
    ] as const)
      for (const [collection, fields] of Object.entries(exportDoc(kind, doc)))
        for (const [key, value] of Object.entries(fields)) {
          const at = parseKey(key)
          // Names, transponders and notes are people's own words.
          if (at && typeof (value as { v?: unknown } | null)?.v !== 'string' && typeof value !== 'string')
            texts.push(shownValue(view, { doc: kind, collection, field: at.field }, value))
        }
    for (const s of KIT_SECTIONS)
      if (s.slug !== 'cars')
        for (const record of view[s.collection].live) texts.push(s.detail(view, record.id))
    expect(texts.length).toBeGreaterThan(1500)
    expect(texts.flatMap(faults)).toEqual([])
  })
})

test('no screen asks a browser for a time of day, or writes degrees after a blank', () => {
  const root = fileURLToPath(new URL('../../../app', import.meta.url))
  const files = readdirSync(root, { recursive: true, encoding: 'utf8' }).filter((f) => /\.tsx?$/.test(f))
  expect(files.length).toBeGreaterThan(200)
  const wrong = files.flatMap((f) => {
    const source = readFileSync(join(root, f), 'utf8')
    return [/type="time"/, /datetime-local/, /hour12/, /[}\d] °/, /toLocaleString|toLocaleTimeString/]
      .filter((bad) => bad.test(source))
      .map((bad) => `${f}: ${bad.source}`)
  })
  expect(wrong).toEqual([])
})
