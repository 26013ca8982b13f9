import { and, asc, eq, isNull, lt } from 'drizzle-orm'
import type { Client } from '@/drizzle/client'
import { withChecksum } from '@/drizzle/table-checksum'
import { operatorCodes, teams } from '@/drizzle/teams/schema'
import type { Clock } from '@/lib/core/clock'
import { ok, refuse, type Result } from '@/lib/core/result'
import { makeJoinCode, type RandomBytes } from '@/lib/join/join-code'
import { hashSecret, sameHash } from '../join/secret-hash'

const CODE_HOURS = 24
const CODE_MS = CODE_HOURS * 3600_000

export interface Team {
  address: string
  name: string
  createdAt: number
  /** Null while it is served. */
  archivedAt: number | null
}

const taken = (address: string) =>
  refuse('Address', address, 'another team has it, or had it and is archived', 'Choose another one.')
const unknown = (address: string) =>
  refuse('Address', address, 'no team has it', 'npm run admin -- team list shows all.')
/** Of a code that makes no team, whatever became of it. */
export const BAD_CODE = refuse(
  'Operator’s code',
  '',
  'it was used already, has expired or never existed',
  'Check it, or ask whoever runs this server for a new one.',
)

const teamOf = ({ checksum: _, ...team }: typeof teams.$inferSelect): Team => team

/** Which teams there are, in SQL. Other processes (the admin command) may change it too. */
export class TeamList {
  constructor(
    readonly client: Client,
    readonly clock: Clock,
    readonly random: RandomBytes,
  ) {}

  all(): Team[] {
    return this.client.db.select().from(teams).orderBy(asc(teams.address)).all().map(teamOf)
  }

  get(address: string): Team | null {
    const row = this.client.db.select().from(teams).where(eq(teams.address, address)).get()
    return row ? teamOf(row) : null
  }

  add(name: string, address: string): Result<Team> {
    return this.client.transact(() => this.#add(name, address))
  }

  /** Make a team with an operator's code, which is used up by it and by nothing else. */
  addByCode(code: string, name: string, address: string): Result<Team> {
    return this.client.transact(() => {
      const row = this.#code(code)
      if (!row) return BAD_CODE
      const made = this.#add(name, address)
      if (made.ok) {
        const { checksum: _, ...rest } = row
        const next = withChecksum(operatorCodes, { ...rest, usedAt: this.clock.now() })
        this.client.db.update(operatorCodes).set(next).where(eq(operatorCodes.codeHash, row.codeHash)).run()
      }
      return made
    })
  }

  /** A code that makes one team within a day. It is told this once. */
  makeCode(): { code: string; expiresAt: number } {
    const now = this.clock.now()
    const code = makeJoinCode(this.random)
    const row = { codeHash: hashSecret('operator', code), createdAt: now, expiresAt: now + CODE_MS }
    this.client.transact(() => {
      const { db } = this.client
      db.delete(operatorCodes)
        .where(lt(operatorCodes.expiresAt, now - CODE_MS))
        .run()
      db.insert(operatorCodes)
        .values(withChecksum(operatorCodes, { ...row, usedAt: null }))
        .run()
    })
    return { code, expiresAt: row.expiresAt }
  }

  /** Whether a code makes a team now. */
  isOpen(code: string): boolean {
    return this.#code(code) !== null
  }

  archive(address: string): Result<Team> {
    return this.#change(address, (team) => ({ ...team, archivedAt: team.archivedAt ?? this.clock.now() }))
  }

  unarchive(address: string): Result<Team> {
    return this.#change(address, (team) => ({ ...team, archivedAt: null }))
  }

  /** Take an archived team off the list. */
  remove(address: string): Result<Team> {
    return this.client.transact(() => {
      const team = this.get(address)
      if (!team) return unknown(address)
      if (team.archivedAt === null)
        return refuse('Team', team.name, 'it is still served', 'Archive it first: team archive ADDRESS.')
      this.client.db.delete(teams).where(eq(teams.address, address)).run()
      return ok(team)
    })
  }

  #add(name: string, address: string): Result<Team> {
    if (this.get(address)) return taken(address)
    const team = { address, name, createdAt: this.clock.now(), archivedAt: null }
    this.client.db.insert(teams).values(withChecksum(teams, team)).run()
    return ok(team)
  }

  #code(code: string) {
    const codeHash = hashSecret('operator', code)
    const row = this.client.db
      .select()
      .from(operatorCodes)
      .where(and(eq(operatorCodes.codeHash, codeHash), isNull(operatorCodes.usedAt)))
      .get()
    return row && sameHash(row.codeHash, codeHash) && this.clock.now() < row.expiresAt ? row : null
  }

  #change(address: string, change: (team: Team) => Team): Result<Team> {
    return this.client.transact(() => {
      const team = this.get(address)
      if (!team) return unknown(address)
      const next = change(team)
      this.client.db.update(teams).set(withChecksum(teams, next)).where(eq(teams.address, address)).run()
      return ok(next)
    })
  }
}
