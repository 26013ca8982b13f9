import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { START_MS } from '../support/server-process'
import { FuzzCrew } from './fuzz-crew'
import { HOSTILE_KINDS } from './hostile-frames'
import { runHostile } from './hostile-run'
import { runImportKills } from './import-kill-run'
import { KILL_MS, runKills } from './kill-run'
import { PINNED_SEEDS } from './pinned-seeds'
import { PHOTO_KILL_MS, runPhotoKills } from './photo-kill-run'
import { runRestores } from './restore-run'
import { runScenario } from './scenario'

const KILLS = 3

/** The short run that every test run makes; `npm run fuzz` has the long one. */
let crew: FuzzCrew
beforeAll(async () => void (crew = await FuzzCrew.start()), 60_000)
afterAll(() => crew.server.dispose(), 30_000)

describe('the real server under seeded work', () => {
  it.each(PINNED_SEEDS)(
    '[S12] seed %i: acknowledged edits stay, forbidden ones are never seen, all agree in the end',
    async (seed) => {
      const result = await runScenario(crew, seed)
      expect(result.faults).toEqual([])
      expect(result.acknowledged).toBeGreaterThan(0)
    },
    40_000,
  )

  it(
    '[S12] kill -9 under load loses nothing that was acknowledged',
    async () => {
      const result = await runKills(crew, KILLS, 4711, () => undefined)
      expect(result.lost).toEqual([])
      expect(result.kills).toBe(KILLS)
    },
    KILLS * KILL_MS,
  )

  it(
    '[S12] kill -9 while photos are sent loses none that was acknowledged',
    async () => {
      const result = await runPhotoKills(crew, 2, 4711, () => undefined)
      expect(result).toMatchObject({ kills: 2, lost: [], halves: [] })
      expect(result.acknowledged).toBeGreaterThan(2)
    },
    2 * PHOTO_KILL_MS,
  )

  it(
    '[S27] kill -9 while an archive is imported leaves no room half imported, and the same archive again does the rest',
    async () => {
      const result = await runImportKills(3, 4711, () => undefined)
      expect(result.faults).toEqual([])
      expect(result.kills).toBe(3)
      expect(result.cut).toBeGreaterThan(0)
    },
    3 * KILL_MS + 2 * START_MS,
  )

  it('[S2] hostile frames change nothing', async () => {
    const result = await runHostile(crew, 400, 4711)
    expect(result).toMatchObject({ sent: 400, changes: [], crashes: 0 })
    expect(result.byKind.size).toBe(HOSTILE_KINDS.length)
    expect(result.refusals).toBeGreaterThan(100)
  }, 40_000)

  it('[S23] under restores from any backup nobody’s edit vanishes without a word', async () => {
    const result = await runRestores(1)
    expect(result.faults).toEqual([])
    expect(result.restores).toBeGreaterThan(1)
  }, 120_000)
})
