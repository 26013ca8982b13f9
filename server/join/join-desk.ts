import type { Clock } from '@/lib/core/clock'
import { newId } from '@/lib/core/id'
import { ok, refuse, type Result } from '@/lib/core/result'
import { THROTTLE, type AttemptThrottle } from '@/lib/join/attempt-throttle'
import { checkInvitation, type Invitation } from '@/lib/join/invitation'
import type { JoinRequest, PreviewResponse } from '@/lib/join/join-api'
import { readJoinCode } from '@/lib/join/join-code'
import { readPersonName, sameName } from '@/lib/join/person-name'
import type { Client } from '@/drizzle/client'
import { TokenBuckets } from '../http/token-buckets'
import type { Invitations } from './invitations'
import { readKitPeople, writeKitPerson, type BoardEditor, type KitPerson } from './kit-people'
import type { LiveSession } from './live-session'
import type { People, PersonRow } from './people'
import type { SlowAnswers } from './slow-answers'
import type { SqlSessions } from './sql-sessions'

export interface Visitor {
  /** What a visitor who has not joined is told apart by when wrong codes are slowed. */
  address: string
  /** What the crew screen calls the device. */
  device: string
  /** The session the device already has, if any. */
  session: LiveSession | null
}

/** Come back later. */
export interface TooManyAttempts {
  /** Of what there was too much: more wrong codes than answers can be held back, or more joins than a code brings in at once. */
  what: 'Wrong codes' | 'Joins with this code'
  retryAfterMs: number
}

export type DeskResult<T> = { slowed: TooManyAttempts } | { slowed?: undefined; result: Result<T> }

/** Phones that one guest invitation brings in at the same time. */
export const PHONES_PER_GUEST_CODE = 40
/** How many one invitation brings in at once (a full guest code and some who join anew), and per second on the long run: each costs two commits. */
const JOINS_AT_ONCE = 60
const JOINS_PER_SECOND = 1

interface Parts {
  client: Client
  clock: Clock
  people: People
  invitations: Invitations
  sessions: SqlSessions
  board: BoardEditor
  throttle: AttemptThrottle
  slow: SlowAnswers
  /** ms of a clock that only goes forward: the wall clock may jump. */
  steady: () => number
}

/** Where a code becomes a session. */
export class JoinDesk {
  readonly #p: Parts
  readonly #joins = new TokenBuckets(JOINS_AT_ONCE, JOINS_PER_SECOND)
  constructor(parts: Parts) {
    this.#p = parts
  }

  /** What an invitation offers, for the joining screen. */
  async preview(typedCode: string, visitor: Visitor): Promise<DeskResult<PreviewResponse>> {
    const found = await this.#invitation(typedCode, visitor)
    if (found.slowed) return found
    if (!found.result.ok) return { result: found.result }
    const invitation = found.result.value
    const joined = new Set(this.#p.sessions.devices().map((d) => d.personId))
    const candidates = await this.#candidates(invitation)
    return {
      result: ok({
        role: invitation.role,
        name: invitation.name,
        people: candidates.map(({ id, name }) => ({ id, name, joined: joined.has(id) })),
        singleUse: invitation.singleUse,
        expiresAt: invitation.expiresAt,
      }),
    }
  }

  /** Join. The token is for the cookie. */
  async join(
    request: JoinRequest,
    visitor: Visitor,
  ): Promise<DeskResult<{ session: LiveSession; token: string }>> {
    const found = await this.#invitation(request.code, visitor)
    if (found.slowed) return found
    if (!found.result.ok) return { result: found.result }
    const invitation = found.result.value
    const full = this.#whyFull(invitation, visitor)
    if (!full.ok) return { result: full }
    const wait = this.#joins.take(invitation.id, this.#p.steady())
    if (wait > 0) return { slowed: { what: 'Joins with this code', retryAfterMs: wait } }
    const chosen = choosePerson(
      invitation,
      await this.#candidates(invitation),
      // Who comes back in another role keeps the name.
      (await readKitPeople(this.#p.board)).filter((p) => p.id !== visitor.session?.personId),
      request,
    )
    if (!chosen.ok) return { result: chosen }
    const person = chosen.value

    const { client, clock, people, invitations, sessions, board } = this.#p
    const made = client.transact((): Result<{ sessionId: string; token: string }> => {
      // Looked at again: while the board was read, a single-use invitation may have been used by somebody else.
      const now = invitations.get(invitation.id)
      const still = checkInvitation(now ?? { ...invitation, revokedAt: 0 }, clock.now())
      if (!still.ok) return still
      const known = people.get(person.id)
      if (known && known.role !== invitation.role)
        return refuse(
          'Person',
          known.name,
          `they are a ${known.role} here`,
          'Pick somebody else, or ask a manager.',
        )
      invitations.use(invitation.id)
      people.put(person)
      return ok(
        sessions.create({
          personId: person.id,
          device: visitor.device,
          invitationId: invitation.id,
          ...(visitor.session && { deviceId: visitor.session.deviceId }),
        }),
      )
    })
    if (!made.ok) return { result: made }
    try {
      await writeKitPerson(board, person.id, { name: person.name, role: person.role })
    } catch (e) {
      try {
        sessions.revoke(made.value.sessionId)
        client.transact(() => invitations.use(invitation.id, -1))
      } catch {
        // The disk has filled up meanwhile. Nobody holds the session's token; only a single-use invitation stays used.
      }
      throw e
    }
    if (visitor.session) sessions.revoke(visitor.session.sessionId)
    const session = {
      sessionId: made.value.sessionId,
      personId: person.id,
      name: person.name,
      role: person.role,
    }
    const deviceId = sessions.devices().find((d) => d.sessionId === session.sessionId)?.deviceId ?? ''
    return { result: ok({ session: { ...session, deviceId }, token: made.value.token }) }
  }

  /**
   * A right code is looked at whatever came before it from the same address, which a whole pit may share. A wrong one costs its sender alone:
   * the answer is held back.
   */
  async #invitation(typedCode: string, { address, session }: Visitor): Promise<DeskResult<Invitation>> {
    const { clock, throttle, slow, steady, invitations } = this.#p
    const code = readJoinCode(typedCode)
    // What can't be a code is no guess either.
    if (!code.ok) return { result: code }
    const found = invitations.find(code.value)
    if (found) {
      const open = checkInvitation(found, clock.now())
      return { result: open.ok ? ok(found) : open }
    }
    const sender = session ? `person ${session.personId}` : `address ${address}`
    const answered = await slow.hold(sender, throttle.failed(sender, steady()))
    if (!answered) return { slowed: { what: 'Wrong codes', retryAfterMs: THROTTLE.longestDelay } }
    return {
      result: refuse(
        'Join code',
        '',
        'no invitation has this code',
        'Check it, or ask a manager for a new invitation.',
      ),
    }
  }

  /** [S25] A guest code brings in only so many phones; the crew's seats are not theirs. A phone that joins anew keeps its place. */
  #whyFull({ id, role }: Invitation, visitor: Visitor): Result<void> {
    if (role !== 'guest') return ok(undefined)
    const phones = this.#p.sessions.devices().filter((d) => d.invitationId === id)
    const isOne = phones.some((d) => d.sessionId === visitor.session?.sessionId)
    return isOne || phones.length < PHONES_PER_GUEST_CODE
      ? ok(undefined)
      : refuse(
          'Guest code',
          '',
          `it has its ${PHONES_PER_GUEST_CODE} phones already`,
          'Ask a manager for another guest code.',
        )
  }

  /** Whom a joiner with this invitation may be: people of its role; for drivers also people noted down without a role. */
  async #candidates(invitation: Invitation): Promise<KitPerson[]> {
    if (invitation.role === 'guest') return []
    const roles = new Map(this.#p.people.all().map((p) => [p.id, p.role]))
    const kit = await readKitPeople(this.#p.board)
    return kit
      .map((p) => ({ ...p, role: roles.get(p.id) ?? p.role }))
      .filter((p) => p.role === invitation.role || (p.role === null && invitation.role === 'driver'))
      .sort((a, b) => a.name.localeCompare(b.name))
  }
}

function choosePerson(
  invitation: Invitation,
  candidates: readonly KitPerson[],
  everybody: readonly KitPerson[],
  request: JoinRequest,
): Result<PersonRow> {
  const { role } = invitation
  if (request.personId !== undefined) {
    const person = candidates.find((p) => p.id === request.personId)
    return person
      ? ok({ id: person.id, name: person.name, role })
      : refuse(
          'Person',
          '',
          `no ${role} with this name is on the board`,
          'Pick from the list, or type a name.',
        )
  }
  const name = readPersonName(request.name ?? invitation.name ?? '')
  if (!name.ok) return name
  const same = candidates.find((p) => sameName(p.name, name.value))
  // The invitation was made out to that person.
  if (same && request.name === undefined) return ok({ id: same.id, name: same.name, role })
  if (same)
    return refuse(
      'Name',
      name.value,
      `there is already a ${role} with that name`,
      'If that is you, pick it from the list. Otherwise add an initial.',
    )
  // Of another role, a guest above all: nobody stands on the board under a name that is somebody else's to the eye.
  const taken = everybody.find((p) => sameName(p.name, name.value))
  if (taken)
    return refuse(
      'Name',
      name.value,
      `it looks like the name of ${taken.name}, who is on the board`,
      'Add an initial.',
    )
  return ok({ id: newId(), name: name.value, role })
}
