import type { StandbyResult } from './standby-run'

/** From the moment at which the address leads to the promoted standby: the rest is the time of whatever promotes it. */
const AGAIN_GOAL_MS = 2_000

/** The figures beside their goals; false where one is missed. */
export function sayStandby(r: StandbyResult, times: number): boolean {
  const sorted = (of: (f: StandbyResult['failovers'][number]) => number) =>
    r.failovers.map(of).sort((a, b) => a - b)
  const [led, kill, again] = [
    sorted((f) => f.ledMs),
    sorted((f) => f.lastMs ?? Infinity),
    sorted((f) => (f.firstMs ?? Infinity) - f.ledMs),
  ]
  const at = (of: number[], share: number) =>
    Math.round(of[Math.min(of.length - 1, Math.floor(of.length * share))] ?? NaN)
  const untold = r.failovers.filter((f) => f.told === 0).length
  const rows: [string, number, string, boolean][] = [
    ['primaries killed, standbys promoted', r.failovers.length, String(times), r.failovers.length === times],
    ['edits acknowledged', r.acknowledged, 'more than 0', r.acknowledged > 0],
    ['of them not in the promoted database', r.lost.length, '0', r.lost.length === 0],
    ['of them not on a fresh phone', r.missing.length, '0', r.missing.length === 0],
    ['seen by others but not stored', r.unstored.length, '0', r.unstored.length === 0],
    ['failovers of which no phone was told', untold, '0', untold === 0],
    ['processes that ended by themselves', r.ended, '0', r.ended === 0],
    ['kill to address led, p50, ms', at(led, 0.5), '', true],
    [
      'led to next acknowledged edit, p50, ms',
      at(again, 0.5),
      `below ${AGAIN_GOAL_MS}`,
      at(again, 0.5) < AGAIN_GOAL_MS,
    ],
    ['the same at most, ms', at(again, 1), `below ${AGAIN_GOAL_MS}`, at(again, 1) < AGAIN_GOAL_MS],
    ['kill to the last phone’s next one, p50, ms', at(kill, 0.5), '', true],
    ['the same at most, ms', at(kill, 1), 'below 60000', at(kill, 1) < 60_000],
  ]
  console.table(
    rows.map(([what, is, goal, met]) => ({ what, is, goal, met: goal === '' ? '' : met ? 'yes' : 'NO' })),
  )
  for (const reason of new Set(r.failovers.flatMap((f) => f.reasons))) console.log(`  told: ${reason}`)
  for (const line of [...r.lost, ...r.missing, ...r.unstored].slice(0, 20)) console.log(`  ${line}`)
  return rows.every(([, , , met]) => met)
}
