import { describe, expect, test } from 'vitest'
import { referenceGroups } from './all-rows'
import { tolerances, withinTolerance, type Tolerance, type ToleranceName } from './tolerances'

const rows = Object.values(referenceGroups).flat()

describe.each(Object.entries(referenceGroups))('outside values: %s', (_group, groupRows) => {
  test.each(groupRows.map((r) => [`${r.what} (${r.source.name})`, r] as const))('%s', (_title, row) => {
    const model = row.model()
    const said = `${model} against ${row.outside} ${row.unit}; allowed: ${JSON.stringify(tolerances[row.tolerance])}`
    expect(withinTolerance(row.tolerance, model, row.outside), said).toBe(true)
  })
})

describe('the tolerance table', () => {
  test('every entry is used and says why', () => {
    const used = new Set(rows.map((r) => r.tolerance))
    expect(Object.keys(tolerances).filter((name) => !used.has(name as ToleranceName))).toEqual([])
    for (const t of Object.values<Tolerance>(tolerances)) {
      expect(t.reason.length).toBeGreaterThan(20)
      expect((t.relative ?? 0) + (t.absolute ?? 0)).toBeGreaterThan(0)
    }
  })

  test.each(rows.map((r) => [r.what, r] as const))(
    'would catch an error of twice its width: %s',
    (_what, row) => {
      const t: Tolerance = tolerances[row.tolerance]
      const width = Math.max((t.relative ?? 0) * Math.abs(row.outside), t.absolute ?? 0)
      expect(withinTolerance(row.tolerance, row.outside + 2 * width, row.outside)).toBe(false)
    },
  )

  test('no value is checked twice under one name', () => {
    const names = rows.map((r) => `${r.what}|${r.source.name}`)
    expect(new Set(names).size).toBe(names.length)
  })
})
