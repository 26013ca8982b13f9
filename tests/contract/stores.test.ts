import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { DatabaseError } from '@/drizzle/database-error'
import { MemoryStore } from '@/server/storage/memory-store'
import { openDatabase } from '@/server/storage/open-database'
import { SqliteStore } from '@/server/storage/sqlite-store'
import { PostgresStore } from '@/server/storage/postgres-store'
import { fillDisk, hasPostgres, postgresForTests } from './postgres-under-test'
import { storeContract } from './store-contract'

const postgres = postgresForTests()

storeContract('memory', () => {
  let full = false
  const store = new MemoryStore(() => {
    if (full) throw new DatabaseError('disk-full', 'played by a test')
  })
  const fillDisk = () => {
    full = true
    return () => void (full = false)
  }
  return { store, fillDisk, dispose: () => store.close() }
})

storeContract('SQLite', () => {
  const folder = mkdtempSync(join(tmpdir(), 'stagecall-store-'))
  const client = openDatabase(folder)
  const store = new SqliteStore(client)
  const pages = () => client.connection.pragma('page_count', { simple: true })
  return {
    store,
    // A database that may not grow any further fails just as on a full disk: SQLITE_FULL.
    fillDisk: () => {
      client.connection.pragma(`max_page_count = ${pages()}`)
      return () => void client.connection.pragma('max_page_count = 1000000')
    },
    dispose: () => {
      store.close()
      rmSync(folder, { recursive: true })
    },
  }
})

for (const table of ['updates', 'writers'])
  storeContract(
    `PostgreSQL (${table} are what can’t grow)`,
    async () => {
      const client = await postgres.open()
      const store = new PostgresStore(client, 'a test')
      return { store, fillDisk: () => fillDisk(client, table), dispose: () => store.close() }
    },
    hasPostgres,
  )
