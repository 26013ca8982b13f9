import { PACK_STATES, type PackState } from '@/lib/board'
import { PACK_STATE_WORDS } from '@/lib/card'

export interface PackStateWord {
  state: PackState
  /** How the pack is. */
  word: string
  /** What the button does. */
  act: string
  tone?: 'hot' | 'quiet'
}

const WORDS: Record<PackState, Omit<PackStateWord, 'state' | 'word'>> = {
  storage: { act: 'Bring to storage charge', tone: 'quiet' },
  charging: { act: 'Put on charge' },
  charged: { act: 'Charged' },
  'in-car': { act: 'In a car' },
  used: { act: 'Used' },
  resting: { act: 'Cooling down' },
  retired: { act: 'Retire for good', tone: 'hot' },
}

export const packStateWord = (state: PackState): PackStateWord => ({
  state,
  word: PACK_STATE_WORDS[state],
  ...WORDS[state],
})
export const PACK_STATE_ACTS: readonly PackStateWord[] = PACK_STATES.map(packStateWord)

/** Below this a resting cell may be damaged, V. Common practice, no source: the pack maker's own figure comes first. */
export const LOW_CELL_V = 3

/** What a pack's last reading means for who holds it in hand; null when there is nothing to say. */
export function voltageWarning(cells: number | undefined, volts: number | null | undefined): string | null {
  if (!cells || volts === null || volts === undefined) return null
  const perCell = volts / cells
  return perCell < LOW_CELL_V
    ? `${perCell.toFixed(2)} V per cell is under ${LOW_CELL_V.toFixed(1)} V: run flat. Have somebody check it before you charge it. A cell that was run flat can catch fire on the charger.`
    : null
}
