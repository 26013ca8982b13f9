import type { Clock } from '@/lib/core/clock'
import type { Settings } from '../env'

/** What an admin command works with. */
export interface AdminContext {
  settings: Settings
  /** Where the board is reached, best first. */
  origins: readonly string[]
  clock: Clock
  /** The folder that relative file names start from. */
  folder: string
  print(line: string): void
}

/** Wrong use of a command; the message says how it is used. */
export class UsageError extends Error {
  override readonly name = 'UsageError'
}
