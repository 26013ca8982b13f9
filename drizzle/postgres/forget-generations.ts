import pg from 'pg'

const ANSWER_MS = 1_000

/**
 * [S23] Phones have heard of more than the database holds: whoever opens its boards next begins another generation of each. `like`: the schemas
 * that are meant, as in SQL's LIKE; without it the one that the address leads to. @throws when the database does not answer
 */
export async function forgetGenerations(url: string, like?: string): Promise<void> {
  const client = new pg.Client({
    connectionString: url,
    application_name: 'stagecall generations',
    connectionTimeoutMillis: ANSWER_MS,
    query_timeout: ANSWER_MS,
  })
  // Whoever waits hears of it by the question.
  client.on('error', () => undefined)
  await client.connect()
  try {
    const { rows } = await client.query<{ schema: string }>(
      `SELECT quote_ident(table_schema) AS schema FROM information_schema.tables
       WHERE table_name = 'generations' AND table_schema LIKE coalesce($1, current_schema())`,
      [like ?? null],
    )
    for (const { schema } of rows) await client.query(`DELETE FROM ${schema}.generations`)
  } finally {
    await client.end()
  }
}
