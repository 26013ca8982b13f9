import { expect, test } from 'vitest'
import { dueCalls, runsOf } from '@/lib/card'
import { raceDay } from '../../support/race-day-board'

const MINUTE = 60_000

/** Minutes before the call of Rook's first run at which something is told, looked at every ten seconds. */
function toldAt(look: (msBeforeCall: number) => boolean = () => true): string[] {
  const d = raceDay()
  const callAt = d.run(d.runs.rook1).callAt ?? 0
  const told = new Set<string>()
  const at: string[] = []
  for (let left = 20 * MINUTE; left > -5 * MINUTE; left -= 10_000) {
    if (!look(left)) continue
    const now = callAt - left
    for (const due of dueCalls(runsOf(d.view(), now), now, told).filter(
      (c) => c.run.runId === d.runs.rook1,
    )) {
      told.add(due.key)
      at.push(`${due.minutes} at ${(left / MINUTE).toFixed(0)}`)
    }
  }
  return at
}

test('a call is told 10, 5 and 2 minutes before, each once, and never once it has passed', () => {
  expect(toldAt()).toEqual(['10 at 10', '5 at 5', '2 at 2'])
})

test('a phone that slept tells what is due now, and nothing that it missed', () => {
  expect(toldAt((left) => left > 12 * MINUTE || left < 4 * MINUTE)).toEqual(['5 at 4', '2 at 2'])
  expect(toldAt((left) => left > 12 * MINUTE || left < 1 * MINUTE)).toEqual(['2 at 1'])
  expect(toldAt((left) => left < 0)).toEqual([])
})

test('a heat that slips later is not told again', () => {
  const d = raceDay()
  const callAt = d.run(d.runs.rook1).callAt ?? 0
  const [due] = dueCalls(runsOf(d.view(), callAt - 2 * MINUTE), callAt - 2 * MINUTE, new Set())
  expect(due?.minutes).toBe(2)
  // Ten minutes later than told: the five and the ten are behind us.
  const slipped = runsOf(d.view(), callAt - 2 * MINUTE).map((r) => ({
    ...r,
    callAt: (r.callAt ?? 0) + 3 * MINUTE,
  }))
  const again = dueCalls(slipped, callAt - 2 * MINUTE, new Set([due?.key ?? '']))
  expect(again.filter((c) => c.run.runId === d.runs.rook1)).toEqual([])
})
