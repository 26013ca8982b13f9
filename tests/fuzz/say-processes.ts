import { FAILOVER_GOAL_MS, type ProcessesResult } from './processes-run'
import { FAULTS } from './scenario'

/** The figures beside their goals; false where one is missed. */
export function sayProcesses(r: ProcessesResult): boolean {
  const times = r.failovers.map((f) => f.ms).sort((a, b) => a - b)
  const at = (share: number) => times[Math.min(times.length - 1, Math.floor(times.length * share))] ?? NaN
  const count = (how: 'killed' | 'paused') => r.failovers.filter((f) => f.how === how).length
  const rows: [string, number, string, boolean][] = [
    ['edits acknowledged', r.acknowledged, 'more than 0', r.acknowledged > 0],
    [FAULTS.lost, r.found.lost, '0', r.found.lost === 0],
    [FAULTS.leak, r.found.leak, '0', r.found.leak === 0],
    ['values seen but not stored', r.unstored, '0', r.unstored === 0],
    ['edits judged twice', r.judgedTwice, '0', r.judgedTwice === 0],
    [FAULTS.divergence, r.found.divergence, '0', r.found.divergence === 0],
    [FAULTS.hang, r.found.hang, '0', r.found.hang === 0],
    [FAULTS.crash, r.found.crash, '0', r.found.crash === 0],
    [FAULTS.trouble, r.found.trouble, '0', r.found.trouble === 0],
    ['failover p50, ms', Math.round(at(0.5)), `below ${FAILOVER_GOAL_MS}`, at(0.5) < FAILOVER_GOAL_MS],
    ['failover p99, ms', Math.round(at(0.99)), `below ${FAILOVER_GOAL_MS}`, at(0.99) < FAILOVER_GOAL_MS],
  ]
  console.log(
    `${r.seeds} seeds, ${r.failovers.length} faults: ${count('killed')} times killed, ${count('paused')} times paused`,
  )
  console.table(rows.map(([what, is, goal, isMet]) => ({ what, is, goal, met: isMet ? 'yes' : 'NO' })))
  if (r.failed.length > 0) console.log(`failing seeds: ${r.failed.join(', ')}`)
  return rows.every(([, , , isMet]) => isMet)
}
