import { PACK_STATES, type PackState } from '@/lib/board'

export interface PackStateWord {
  state: PackState
  /** How the pack is. */
  word: string
  /** What the button does. */
  act: string
  tone?: 'hot' | 'quiet'
}

const WORDS: Record<PackState, Omit<PackStateWord, 'state'>> = {
  storage: { word: 'at storage charge', act: 'Put to storage charge', tone: 'quiet' },
  charging: { word: 'on charge', act: 'Put on charge' },
  charged: { word: 'charged', act: 'Charged' },
  'in-car': { word: 'in a car', act: 'In a car' },
  used: { word: 'used', act: 'Used' },
  resting: { word: 'cooling down', act: 'Cooling down' },
  retired: { word: 'retired', act: 'Retire for good', tone: 'hot' },
}

export const packStateWord = (state: PackState): PackStateWord => ({ state, ...WORDS[state] })
export const PACK_STATE_ACTS: readonly PackStateWord[] = PACK_STATES.map(packStateWord)

/** Below this a resting cell may be damaged, V. Common practice, no source: the pack maker's own figure comes first. */
export const LOW_CELL_V = 3

/** What a pack's last reading means for who holds it in hand; null when there is nothing to say. */
export function voltageWarning(cells: number | undefined, volts: number | null | undefined): string | null {
  if (!cells || volts === null || volts === undefined) return null
  const perCell = volts / cells
  return perCell < LOW_CELL_V
    ? `${perCell.toFixed(2)} V per cell is under ${LOW_CELL_V.toFixed(1)} V: run flat. Don’t charge it before somebody has looked at it; a cell that was run flat can catch fire on the charger.`
    : null
}
