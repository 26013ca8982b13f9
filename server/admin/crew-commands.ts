import { isRole, ROLES } from '@/lib/core/role'
import { DEFAULT_HOURS, MAX_HOURS, MIN_HOURS } from '@/lib/join/invitation'
import { joinLink, showJoinCode } from '@/lib/join/join-code'
import { readPersonName } from '@/lib/join/person-name'
import { refusalText } from '@/lib/core/result'
import { Invitations } from '../join/invitations'
import { People } from '../join/people'
import { secureRandom } from '../join/secret-hash'
import { SqlSessions } from '../join/sql-sessions'
import { UsageError, type AdminContext } from './admin-context'
import { withDatabase } from './with-database'

export interface InviteFlags {
  role?: string | undefined
  name?: string | undefined
  hours?: string | undefined
  'single-use'?: boolean | undefined
}

/** Print a join link. Works beside a running server and before the first start. */
export async function invite(ctx: AdminContext, flags: InviteFlags): Promise<void> {
  const { role } = flags
  if (!isRole(role)) throw new UsageError(`--role is “${role ?? ''}”; it must be one of ${ROLES.join(', ')}.`)
  const hours = flags.hours === undefined ? DEFAULT_HOURS : Number(flags.hours)
  if (!(hours >= MIN_HOURS && hours <= MAX_HOURS))
    throw new UsageError(`--hours is “${flags.hours ?? ''}”; it must be a number up to ${MAX_HOURS}.`)
  const name = flags.name === undefined ? null : readPersonName(flags.name)
  if (name && !name.ok) throw new UsageError(`--name: ${refusalText(name.error)}`)
  const { code, invitation } = await withDatabase(ctx, (client) =>
    new Invitations(client, ctx.clock, secureRandom).create({
      role,
      name: name?.value ?? null,
      hours,
      singleUse: flags['single-use'] ?? false,
      createdBy: 'admin',
    }),
  )
  ctx.print(joinLink(ctx.origins[0] ?? '', code))
  ctx.print(
    `Code ${showJoinCode(code)} · ${role}${invitation.singleUse ? ' · one phone only' : ''} · until ${new Date(invitation.expiresAt).toISOString()}`,
  )
}

export function listPeople(ctx: AdminContext): Promise<void> {
  return withDatabase(ctx, (client) => {
    const devices = new SqlSessions(client, ctx.clock, secureRandom).devices()
    const people = new People(client, ctx.clock).all()
    for (const p of people.sort((a, b) => a.name.localeCompare(b.name)))
      ctx.print(`${p.id}\t${p.role}\t${p.name}\t${devices.filter((d) => d.personId === p.id).length} phones`)
    if (people.length === 0) ctx.print('Nobody has joined yet.')
  })
}

export function listSessions(ctx: AdminContext): Promise<void> {
  return withDatabase(ctx, (client) => {
    const people = new People(client, ctx.clock)
    const devices = new SqlSessions(client, ctx.clock, secureRandom).devices()
    for (const d of devices)
      ctx.print(
        `${d.sessionId}\t${people.get(d.personId)?.name ?? d.personId}\t${d.device}\tseen ${new Date(d.lastSeenAt).toISOString()}`,
      )
    if (devices.length === 0) ctx.print('No phone has joined.')
  })
}

/** End a device's session, or all of a person's; a running server closes their sockets within a second. */
export function revoke(ctx: AdminContext, id: string | undefined): Promise<void> {
  if (!id)
    throw new UsageError('Name one: revoke SESSION or revoke PERSON (“sessions” and “people” list the ids).')
  return withDatabase(ctx, (client) => {
    const sessions = new SqlSessions(client, ctx.clock, secureRandom)
    const ended = sessions.revoke(id) ? 1 : sessions.revokeOfPerson(id)
    if (ended === 0) throw new UsageError(`No joined phone or person has the id “${id}”.`)
    ctx.print(ended === 1 ? 'One phone removed.' : `${ended} phones removed.`)
  })
}
