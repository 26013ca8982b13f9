import { ledgerNames, ledgerSlots, type LapRun } from '../../setup-math'

/** One line of where a lap's energy goes. */
export interface EnergyPart {
  label: string
  /** Mean over the lap, W at the pack, and its share of all of it. */
  watts: number
  share: number
}

/** Where the pack's energy goes over a flying lap, largest first; what is nothing is left out. Sums up to the pack's power (ledger of setup-math). */
export function energyParts(lap: LapRun): EnergyPart[] {
  const { energy, timeS } = lap
  const lines = ledgerSlots.flatMap((slot): [string, number][] =>
    slot === 'packJ' ? [] : [[ledgerNames[slot], energy[slot]]],
  )
  const total = lines.reduce((sum, [, j]) => sum + j, 0)
  return lines
    .filter(([, j]) => Math.abs(j) > 0.001 * total)
    .map(([label, j]) => ({ label, watts: j / timeS, share: j / total }))
    .sort((a, b) => b.watts - a.watts)
}
