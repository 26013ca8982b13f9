import { eq } from 'drizzle-orm'
import type { Clock } from '@/lib/core/clock'
import type { Role } from '@/lib/core/role'
import type { Client } from '@/drizzle/client'
import { people } from '@/drizzle/schema'
import { withChecksum } from '@/drizzle/table-checksum'

export interface PersonRow {
  id: string
  name: string
  role: Role
}

/** Who is known to the server, with their roles. Methods that write are to be called inside `client.transact`. */
export class People {
  readonly #client: Client
  readonly #clock: Clock
  constructor(client: Client, clock: Clock) {
    this.#client = client
    this.#clock = clock
  }

  get(id: string): PersonRow | null {
    return this.#row(id) ?? null
  }

  all(): PersonRow[] {
    return this.#client.db.select().from(people).all()
  }

  put(person: PersonRow): void {
    const createdAt = this.#row(person.id)?.createdAt ?? this.#clock.now()
    const row = withChecksum(people, { ...person, createdAt })
    this.#client.db.insert(people).values(row).onConflictDoUpdate({ target: people.id, set: row }).run()
  }

  #row(id: string) {
    return this.#client.db.select().from(people).where(eq(people.id, id)).get()
  }
}
