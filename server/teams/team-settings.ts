import { join } from 'node:path'
import { inSchema } from '@/drizzle/postgres/schema-of'
import type { Settings } from '../env'

/** No address: names of teams end in a letter or a digit. */
export const NOBODY = 'nobody-'

/**
 * Where a team's board is: a data folder of its own, and in PostgreSQL a schema of its own in the same database, so that what saves the one
 * saves all. `address` is one that `readTeamAddress` gave, or `NOBODY`.
 */
export function settingsOfTeam<T extends Pick<Settings, 'dataFolder' | 'database'>>(
  settings: T,
  address: string,
): T {
  const { dataFolder, database } = settings
  return {
    ...settings,
    dataFolder: join(dataFolder, 'teams', address),
    // Addresses have no low line, so that no two make the same name.
    database: database && inSchema(database, schemaOfTeam(address)),
  }
}

export const schemaOfTeam = (address: string): string => `team_${address.replaceAll('-', '_')}`
/** In SQL's LIKE: the schemas of all teams. */
export const LIKE_TEAMS = String.raw`team\_%`
