import type { Clock } from '@/lib/core/clock'
import { newId } from '@/lib/core/id'
import { ok, refuse, type Result } from '@/lib/core/result'
import type { Role } from '@/lib/core/role'
import { invitationState, type Invitation } from '@/lib/join/invitation'
import type { AddPersonRequest, CrewMember, InvitationInfo } from '@/lib/join/join-api'
import { readPersonName, sameName } from '@/lib/join/person-name'
import type { Client } from '@/drizzle/client'
import { readKitPeople, writeKitPerson, type BoardEditor } from './kit-people'
import type { People } from './people'
import type { SqlSessions } from './sql-sessions'

/** A device heard of this lately counts as online; sockets report themselves about every half minute. */
const ONLINE_MS = 90_000

interface Parts {
  client: Client
  clock: Clock
  people: People
  sessions: SqlSessions
  board: BoardEditor
}

/** What a manager does with people and devices. */
export class CrewDesk {
  readonly #p: Parts
  constructor(parts: Parts) {
    this.#p = parts
  }

  /** Everybody on the board or with a device, by name. */
  async crew(currentSessionId: string): Promise<CrewMember[]> {
    const { people, sessions, clock, board } = this.#p
    await this.followNames()
    const known = new Map(people.all().map((p) => [p.id, p]))
    const devices = sessions.devices()
    const kit = await readKitPeople(board)
    const onBoard = new Set(kit.map((p) => p.id))
    const withDevice = [...known.values()].filter(
      (p) => !onBoard.has(p.id) && devices.some((d) => d.personId === p.id),
    )
    return [...kit, ...withDevice]
      .map((p) => ({
        personId: p.id,
        name: p.name,
        role: known.get(p.id)?.role ?? p.role ?? 'driver',
        devices: devices
          .filter((d) => d.personId === p.id)
          .map(({ personId: _, ...d }) => ({
            ...d,
            // A time in the future was noted while this machine's clock was wrong.
            online: Math.abs(clock.now() - d.lastSeenAt) < ONLINE_MS,
            current: d.sessionId === currentSessionId,
          })),
      }))
      .sort((a, b) => a.name.localeCompare(b.name))
  }

  /** Note somebody down before they join, so that cars and duties can be given to them. */
  async addPerson(wish: AddPersonRequest): Promise<Result<string>> {
    const name = readPersonName(wish.name)
    if (!name.ok) return name
    const kit = await readKitPeople(this.#p.board)
    if (kit.some((p) => sameName(p.name, name.value)))
      return refuse('Name', name.value, 'somebody with that name is on the board', 'Add an initial.')
    const person = { id: newId<'person'>(), name: name.value, role: wish.role }
    const { board, people } = this.#p
    await writeKitPerson(board, person.id, { name: person.name, role: person.role }, () => people.put(person))
    return ok(person.id)
  }

  async changeRole(personId: string, role: Role): Promise<Result<void>> {
    const { people, sessions, board } = this.#p
    const person = await this.#find(personId)
    if (!person.ok) return person
    const { name, role: before } = person.value
    if (before === 'manager' && role !== 'manager' && this.#isLastManager(personId))
      return refuse('Role', role, `${name} is the last manager`, 'Make somebody else a manager first.')
    // In one: a role that the board shows and the server does not grant would be worse than none.
    await writeKitPerson(board, personId, { role }, () => people.put({ id: personId, name, role }))
    sessions.reconcile()
    return ok(undefined)
  }

  /** Take a person off the board and end the sessions of all their devices. */
  async removePerson(personId: string): Promise<Result<void>> {
    const person = await this.#find(personId)
    if (!person.ok) return person
    if (person.value.role === 'manager' && this.#isLastManager(personId))
      return refuse(
        'Person',
        person.value.name,
        'they are the last manager',
        'Make somebody else a manager first.',
      )
    await writeKitPerson(this.#p.board, personId, { removed: true })
    this.#p.sessions.revokeOfPerson(personId)
    return ok(undefined)
  }

  revokeDevice(sessionId: string): Result<void> {
    return this.#p.sessions.revoke(sessionId)
      ? ok(undefined)
      : refuse('Device', '', 'it is not joined (anymore)', 'Reload the list.')
  }

  /** Names are edited on the board; sessions and presence show the same ones. */
  async followNames(): Promise<void> {
    const { client, people, sessions, board } = this.#p
    const kit = new Map((await readKitPeople(board)).map((p) => [p.id, p.name]))
    const renamed = people.all().flatMap((p) => {
      const name = kit.get(p.id)
      return name && name !== p.name ? [{ ...p, name }] : []
    })
    if (renamed.length === 0) return
    client.transact(() => renamed.forEach(({ id, name, role }) => people.put({ id, name, role })))
    sessions.reconcile()
  }

  async #find(personId: string): Promise<Result<{ name: string; role: Role }>> {
    const known = this.#p.people.get(personId)
    const onBoard = (await readKitPeople(this.#p.board)).find((p) => p.id === personId)
    const found = known ?? onBoard
    return found
      ? ok({ name: onBoard?.name ?? found.name, role: known?.role ?? onBoard?.role ?? 'driver' })
      : refuse('Person', '', 'this person is not on the board', 'Reload the list.')
  }

  /** Nobody else could manage: other managers without a device don't count. */
  #isLastManager(personId: string): boolean {
    const withDevice = new Set(this.#p.sessions.devices().map((d) => d.personId))
    return !this.#p.people
      .all()
      .some((p) => p.role === 'manager' && p.id !== personId && withDevice.has(p.id))
  }
}

export const invitationInfo = (i: Invitation, now: number): InvitationInfo => ({
  id: i.id,
  role: i.role,
  name: i.name,
  singleUse: i.singleUse,
  createdBy: i.createdBy,
  createdAt: i.createdAt,
  expiresAt: i.expiresAt,
  uses: i.uses,
  state: invitationState(i, now),
})
