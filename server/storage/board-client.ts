import type { SqliteClient } from '@/drizzle/client'
import type { PostgresClient } from '@/drizzle/postgres/client'
import { PostgresStore } from './postgres-store'
import { SqliteStore } from './sqlite-store'
import type { Store } from './store'

/** A board's database of either engine. */
export type BoardClient = SqliteClient | PostgresClient

/** What is stored in a database, for reading: nobody's ownership of a room changes by it. */
export const readStore = (client: BoardClient): Store =>
  client.engine === 'sqlite' ? new SqliteStore(client) : new PostgresStore(client, null)

/** What is stored in a database, to be changed by this process alone. `by`: what others are told who has it. Closing the store closes its client. */
export const ownStore = (client: BoardClient, by: string): Store =>
  client.engine === 'sqlite' ? new SqliteStore(client) : new PostgresStore(client, by)
