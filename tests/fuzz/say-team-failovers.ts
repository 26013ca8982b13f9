import type { TeamFailovers } from './team-failover-run'

const FIRST_GOAL_MS = 2_000

/** The figures beside their goals; false where one is missed. */
export function sayTeamFailovers({ rounds, teams, acknowledged, lost, first, each }: TeamFailovers): boolean {
  const at = (of: readonly number[], share: number) => {
    const sorted = [...of].sort((a, b) => a - b)
    return Math.round(sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))] ?? NaN)
  }
  const rows: [string, number, string, boolean][] = [
    ['leaders killed', first.length, String(rounds), first.length === rounds],
    ['teams that edited', teams, '', true],
    ['edits acknowledged', acknowledged, 'more than 0', acknowledged > 0],
    ['of them lost', lost.length, '0', lost.length === 0],
    [
      'kill to the first team’s next edit, at most, ms',
      at(first, 1),
      `below ${FIRST_GOAL_MS}`,
      at(first, 1) < FIRST_GOAL_MS,
    ],
    ['to each team’s, p50, ms', at(each, 0.5), '', true],
    ['at most, ms', at(each, 1), '', true],
  ]
  console.table(
    rows.map(([what, is, goal, met]) => ({ what, is, goal, met: goal === '' ? '' : met ? 'yes' : 'NO' })),
  )
  for (const line of lost) console.log(`  lost: ${line}`)
  return rows.every(([, , , met]) => met)
}
