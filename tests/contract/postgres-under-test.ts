import { afterAll, beforeAll } from 'vitest'
import { openPostgres, type PostgresClient, type PostgresOptions } from '@/drizzle/postgres/client'
import { Postgres, whyNoPostgres } from '../support/postgres'

const whyNot = whyNoPostgres()
export const hasPostgres = whyNot === null
if (whyNot !== null) console.info(`Tests on PostgreSQL are left out: ${whyNot}`)

const START_MS = 120_000

/** One server for all tests of a file, started before them and stopped after them. */
export function postgresForTests() {
  let server: Postgres | null = null
  beforeAll(async () => {
    if (hasPostgres) server = await Postgres.start()
  }, START_MS)
  afterAll(async () => {
    await server?.dispose()
  })
  const running = () => {
    if (!server) throw new Error('PostgreSQL is not running')
    return server
  }
  return {
    get server() {
      return running()
    },
    /** A client of a new database. */
    async open(options?: PostgresOptions): Promise<PostgresClient> {
      return openPostgres(await running().database(), options)
    },
  }
}

/** From now on nothing can be added to that table, as on a full disk; gives what ends it. */
export function fillDisk({ line }: PostgresClient, table = 'updates'): () => void {
  line.query(`CREATE OR REPLACE FUNCTION refuse() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN RAISE EXCEPTION 'played by a test' USING ERRCODE = 'disk_full'; END $$`)
  line.query(`CREATE TRIGGER full_disk BEFORE INSERT OR UPDATE ON ${table} EXECUTE FUNCTION refuse()`)
  return () => void line.query(`DROP TRIGGER full_disk ON ${table}`)
}
