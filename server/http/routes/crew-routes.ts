import type { Clock } from '@/lib/core/clock'
import { refuse } from '@/lib/core/result'
import {
  addPersonRequest,
  changeRoleRequest,
  inviteRequest,
  type AddPersonResponse,
  type CrewResponse,
  type InvitationsResponse,
  type InviteResponse,
} from '@/lib/join/join-api'
import { joinLink } from '@/lib/join/join-code'
import { readPersonName } from '@/lib/join/person-name'
import { invitationInfo, type CrewDesk } from '../../join/crew-desk'
import type { Invitations } from '../../join/invitations'
import { refused, reply, replyResult, route, type ApiRoute } from '../api-route'

const MANAGER = ['manager'] as const
const done = () => ({})

export interface CrewRouteParts {
  crewDesk: CrewDesk
  invitations: Invitations
  clock: Clock
  /** Origins that phones on the same network reach, best first. */
  origins: () => string[]
}

/** People, devices and invitations. */
export const crewRoutes = ({ crewDesk, invitations, clock, origins }: CrewRouteParts): ApiRoute[] => [
  route({
    method: 'GET',
    path: '/api/crew/people',
    access: 'joined',
    handle: async ({ session }) => {
      const people = await crewDesk.crew(session?.sessionId ?? '')
      // Devices are the managers' business; everybody may know who is in the crew.
      const visible =
        session?.role === 'manager'
          ? people
          : people.map((p) => ({ ...p, devices: p.devices.filter((d) => d.current) }))
      return reply({ people: visible } satisfies CrewResponse)
    },
  }),
  route({
    method: 'POST',
    path: '/api/crew/people',
    access: MANAGER,
    body: addPersonRequest,
    handle: async ({ body }) =>
      replyResult(await crewDesk.addPerson(body), (personId) => ({ personId }) satisfies AddPersonResponse),
  }),
  route({
    method: 'POST',
    path: '/api/crew/people/:id/role',
    access: MANAGER,
    body: changeRoleRequest,
    handle: async ({ params, body }) =>
      replyResult(await crewDesk.changeRole(params['id'] ?? '', body.role), done),
  }),
  route({
    method: 'POST',
    path: '/api/crew/people/:id/remove',
    access: MANAGER,
    handle: async ({ params }) => replyResult(await crewDesk.removePerson(params['id'] ?? ''), done),
  }),
  route({
    method: 'POST',
    path: '/api/crew/devices/:id/revoke',
    access: MANAGER,
    handle: ({ params }) => replyResult(crewDesk.revokeDevice(params['id'] ?? ''), done),
  }),
  route({
    method: 'GET',
    path: '/api/crew/invitations',
    access: MANAGER,
    handle: () => {
      const now = clock.now()
      return reply({
        invitations: invitations.all().map((i) => invitationInfo(i, now)),
      } satisfies InvitationsResponse)
    },
  }),
  route({
    method: 'POST',
    path: '/api/crew/invitations',
    access: MANAGER,
    body: inviteRequest,
    handle: ({ body, session }) => {
      const name = body.name === undefined ? null : readPersonName(body.name)
      if (name && !name.ok) return refused(422, name.error)
      const { invitation, code } = invitations.create({
        role: body.role,
        name: name?.value ?? null,
        hours: body.hours,
        singleUse: body.singleUse,
        createdBy: session?.personId ?? '',
      })
      return reply({
        invitation: invitationInfo(invitation, clock.now()),
        code,
        path: joinLink('', code),
        origins: origins(),
      } satisfies InviteResponse)
    },
  }),
  route({
    method: 'POST',
    path: '/api/crew/invitations/:id/revoke',
    access: MANAGER,
    handle: ({ params }) =>
      invitations.revoke(params['id'] ?? '')
        ? reply(done())
        : refused(422, refuse('Invitation', '', 'it does not exist', 'Reload the list.').error),
  }),
]
