import { inArray, isNotNull } from 'drizzle-orm'
import { openClient, type Client } from '@/drizzle/client'
import { sessions } from '@/drizzle/schema'
import { withChecksum } from '@/drizzle/table-checksum'

/** Sessions that a database knows as revoked; none when it is too damaged to tell. */
export function revokedSessionIds(file: string): string[] {
  try {
    const client = openClient(file)
    try {
      return client.db
        .select({ id: sessions.id })
        .from(sessions)
        .where(isNotNull(sessions.revokedAt))
        .all()
        .map((r) => r.id)
    } finally {
      client.close()
    }
  } catch {
    return [] // a database that is restored over may well be beyond reading
  }
}

/** Revoke these sessions where they are still live: a phone thrown out must not come back with an old backup. */
export function carryRevocations(client: Client, ids: readonly string[], now: number): void {
  client.transact(() => {
    for (let i = 0; i < ids.length; i += 500) {
      const live = client.db
        .select()
        .from(sessions)
        .where(inArray(sessions.id, ids.slice(i, i + 500)))
        .all()
        .filter((r) => r.revokedAt === null)
      for (const { checksum: _, ...row } of live)
        client.db
          .update(sessions)
          .set(withChecksum(sessions, { ...row, revokedAt: now }))
          .where(inArray(sessions.id, [row.id]))
          .run()
    }
  })
}
