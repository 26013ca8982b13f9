import { chmodSync, existsSync, mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { openClient, type Client } from '@/drizzle/client'
import type { DatabaseError } from '@/drizzle/database-error'
import { migrateBy } from '@/drizzle/migrate'
import { openPostgres } from '@/drizzle/postgres/client'
import { inSchema } from '@/drizzle/postgres/schema-of'
import { POSTGRES_TEAM_MIGRATIONS, TEAM_MIGRATIONS } from '@/drizzle/teams/migrations-of'
import type { Settings } from '../env'

const FILE = 'teams.db'
/** No team's: theirs are called after them. */
const SCHEMA = 'stagecall_teams'

/**
 * The database of the list of teams, beside a running server too. `onOver`: its connection can never be used again.
 * @throws DatabaseError
 */
export function openTeamList(
  { dataFolder, database }: Pick<Settings, 'dataFolder' | 'database'>,
  onOver: (e: DatabaseError) => void = () => undefined,
): Client {
  if (database !== null)
    return openPostgres(inSchema(database, SCHEMA), { migrations: POSTGRES_TEAM_MIGRATIONS, onOver })
  mkdirSync(dataFolder, { recursive: true, mode: 0o700 })
  const file = join(dataFolder, FILE)
  // SQLite gives the log its database's permissions.
  if (!existsSync(file)) writeFileSync(file, '', { mode: 0o600 })
  else chmodSync(file, 0o600)
  const client = openClient(file)
  try {
    migrateBy(client, TEAM_MIGRATIONS)
    return client
  } catch (e) {
    client.close()
    throw e
  }
}
