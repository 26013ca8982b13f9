import { setMaxListeners } from 'node:events'
import { beforeAll, expect, it } from 'vitest'
import './days/simulated-time'
import { findMutant } from './days/find-mutant'
import { PLANTED_MUTANTS } from './days/planted-mutants'
import { runRaceDay } from './days/race-day'

const DAYS = 24
const SEED = 1_000

// Every provider listens to the end of the process.
beforeAll(() => setMaxListeners(0, process))

it('days full of faults: nothing acknowledged is lost, nothing unstored or forbidden is seen, and all agree in the end', async () => {
  const days = []
  for (let seed = SEED; seed < SEED + DAYS; seed++) days.push(await runRaceDay(seed))
  expect(days.filter((d) => d.violations.length > 0)).toEqual([])
  // A day in which nothing happens proves nothing.
  expect(days.reduce((sum, d) => sum + d.acknowledged, 0)).toBeGreaterThan(10 * DAYS)
}, 120_000)

// A page told to start anew wrote its edits once more, and then a slower line brought the first copies.
it.each([200_096, 205_767])(
  'a day that once went wrong goes well: %i',
  async (seed) => {
    expect((await runRaceDay(seed)).violations).toEqual([])
  },
  60_000,
)

it('the same seed is the same day, bit by bit, and another is another', async () => {
  for (const kind of ['lone', 'two'] as const) {
    const [one, again, other] = [
      await runRaceDay(7, kind),
      await runRaceDay(7, kind),
      await runRaceDay(8, kind),
    ]
    expect(again).toEqual(one)
    expect(other.digest).not.toBe(one.digest)
  }
}, 60_000)

it.each([
  'the fence is gone, and with it the question who has the board',
  'others are shown an edit before its commit',
  'a failed commit is called done',
])(
  'is found: %s',
  async (what) => {
    const mutant = PLANTED_MUTANTS.find((m) => m.what === what)
    if (!mutant) throw new Error('There is no such mutant')
    expect((await findMutant(mutant, SEED, 15)).violation).not.toBe('')
  },
  60_000,
)
