import { and, desc, eq, lt, notInArray } from 'drizzle-orm'
import type { Clock } from '@/lib/core/clock'
import { newId } from '@/lib/core/id'
import type { Role } from '@/lib/core/role'
import type { Invitation } from '@/lib/join/invitation'
import { makeJoinCode, type RandomBytes } from '@/lib/join/join-code'
import type { Client } from '@/drizzle/client'
import { invitations } from '@/drizzle/schema'
import { withChecksum } from '@/drizzle/table-checksum'
import { hashSecret, sameHash } from './secret-hash'

export const FIRST_MANAGER_HOURS = 24
/** Closed invitations are kept this long, so that the crew screen can say what became of them. */
const KEEP_CLOSED_MS = 7 * 24 * 3600_000
/** However old, so many of the newest are kept: a wall clock that jumps far ahead and is put right must not have deleted what was open. */
const KEEP_NEWEST = 200

export interface NewInvitation {
  role: Role
  name: string | null
  hours: number
  singleUse: boolean
  createdBy: string
}

/** Invitations in SQL. The code is told once, at making; afterwards only its hash exists. */
export class Invitations {
  readonly #client: Client
  readonly #clock: Clock
  readonly #random: RandomBytes
  constructor(client: Client, clock: Clock, random: RandomBytes) {
    this.#client = client
    this.#clock = clock
    this.#random = random
  }

  /** A link that makes a board's first manager, on one phone. */
  createFirstManager(createdBy: string): { invitation: Invitation; code: string } {
    return this.create({
      role: 'manager',
      name: null,
      hours: FIRST_MANAGER_HOURS,
      singleUse: true,
      createdBy,
    })
  }

  create(wish: NewInvitation): { invitation: Invitation; code: string } {
    const now = this.#clock.now()
    const code = makeJoinCode(this.#random)
    const invitation: Invitation = {
      id: newId(),
      role: wish.role,
      name: wish.name,
      singleUse: wish.singleUse,
      createdBy: wish.createdBy,
      createdAt: now,
      expiresAt: now + Math.round(wish.hours * 3600_000),
      uses: 0,
      revokedAt: null,
    }
    this.#client.transact(() => {
      const newest = this.#client.db
        .select({ id: invitations.id })
        .from(invitations)
        .orderBy(desc(invitations.createdAt))
        .limit(KEEP_NEWEST)
      this.#client.db
        .delete(invitations)
        .where(and(lt(invitations.expiresAt, now - KEEP_CLOSED_MS), notInArray(invitations.id, newest)))
        .run()
      const row = withChecksum(invitations, { ...invitation, codeHash: hashSecret('code', code) })
      this.#client.db.insert(invitations).values(row).run()
    })
    return { invitation, code }
  }

  /** The invitation with this code, be it open or closed. */
  find(code: string): Invitation | null {
    const hash = hashSecret('code', code)
    const row = this.#client.db.select().from(invitations).where(eq(invitations.codeHash, hash)).get()
    return row && sameHash(row.codeHash, hash) ? withoutSecret(row) : null
  }

  get(id: string): Invitation | null {
    const row = this.#client.db.select().from(invitations).where(eq(invitations.id, id)).get()
    return row ? withoutSecret(row) : null
  }

  /** Newest first, closed ones of the last days included. */
  all(): Invitation[] {
    return this.#client.db
      .select()
      .from(invitations)
      .orderBy(desc(invitations.createdAt))
      .all()
      .map(withoutSecret)
  }

  /** Count a use (or give one back, with -1). Inside `client.transact`. */
  use(id: string, times: 1 | -1 = 1): void {
    this.#change(id, (i) => ({ uses: i.uses + times }))
  }

  /** False when there is no such invitation. */
  revoke(id: string): boolean {
    return this.#client.transact(() =>
      this.#change(id, (i) => ({ revokedAt: i.revokedAt ?? this.#clock.now() })),
    )
  }

  revokeAllBy(createdBy: string): void {
    for (const i of this.all()) if (i.createdBy === createdBy && i.revokedAt === null) this.revoke(i.id)
  }

  #change(id: string, change: (i: Invitation) => Partial<Invitation>): boolean {
    const found = this.#client.db.select().from(invitations).where(eq(invitations.id, id)).get()
    if (!found) return false
    const { checksum: _, ...row } = found
    const next = withChecksum(invitations, { ...row, ...change(found) })
    this.#client.db.update(invitations).set(next).where(eq(invitations.id, id)).run()
    return true
  }
}

const withoutSecret = ({
  checksum: _,
  codeHash: __,
  ...invitation
}: typeof invitations.$inferSelect): Invitation => invitation
