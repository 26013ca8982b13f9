import { expect, it } from 'vitest'
import { runDamage } from '../../fuzz/damage-run'

it('[S26] [S12] damage at random places is harmless, mended or told', () => {
  const { cases, silent, rows } = runDamage(100, 20310503)
  expect(silent).toEqual([])
  expect(cases).toBe(100)
  // Both ends and the files with acknowledged edits were met, and some damage did matter.
  expect(rows.map((r) => `${r.end} ${r.file}`)).toEqual(
    expect.arrayContaining(['killed board.db', 'killed board.db-wal', 'stopped board.db']),
  )
  expect(rows.reduce((n, r) => n + r.mended + r.lossTold + r.refused, 0)).toBeGreaterThan(20)
}, 600_000)
