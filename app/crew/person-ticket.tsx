'use client'
import { useState } from 'react'
import { ROLES, isRole, type Role } from '@/lib/core/role'
import type { CrewMember, DeviceInfo } from '@/lib/join/join-api'
import { useNow } from '@/app/sync'
import { agoText, Button, Confirm, SelectField, Ticket, TicketHead } from '@/app/ui'

export interface PersonTicketProps {
  member: CrewMember
  isMe: boolean
  isHere: boolean
  isManager: boolean
  onRole: (role: Role) => void
  onRevoke: (device: DeviceInfo) => void
}

/** One person: role, devices, last seen. */
export function PersonTicket({ member, isMe, isHere, isManager, onRole, onRevoke }: PersonTicketProps) {
  const now = useNow(30_000)
  const [nextRole, setNextRole] = useState<Role | null>(null)
  const [revoking, setRevoking] = useState<DeviceInfo | null>(null)
  const seen = Math.max(0, ...member.devices.map((d) => d.lastSeenAt))
  const online = isHere || member.devices.some((d) => d.online)
  return (
    <Ticket as="article" label={member.name} tone={online ? 'plain' : 'quiet'}>
      <TicketHead
        title={member.name}
        sub={[
          member.role,
          isMe && 'you',
          online
            ? 'here now'
            : seen
              ? `last seen ${agoText(seen, now)}`
              : isManager
                ? 'no phone yet'
                : 'not here',
        ]
          .filter(Boolean)
          .join(', ')}
      />
      {isManager && (
        <div className="flex flex-wrap items-center gap-3 px-[var(--gutter)] py-2 border-b border-rule">
          <span aria-hidden="true" className="small">
            Role
          </span>
          <SelectField
            hideLabel
            label={`Role of ${member.name}`}
            value={member.role}
            options={ROLES.map((r) => ({ id: r, label: r }))}
            onChange={(id) => {
              if (isRole(id) && id !== member.role) setNextRole(id)
            }}
          />
        </div>
      )}
      <ul className="ruled">
        {member.devices.map((d) => (
          <li
            key={d.sessionId}
            className="flex flex-wrap items-center justify-between gap-x-4 px-[var(--gutter)] py-2"
          >
            <span className="min-w-0">
              {d.device}
              {d.current && <b> (this one)</b>}
              <span className="small block">
                {d.online ? 'connected' : `last seen ${agoText(d.lastSeenAt, now)}`}, joined{' '}
                {agoText(d.createdAt, now)}
              </span>
            </span>
            {isManager && (
              <Button
                look="hot"
                aria-label={`Remove: ${d.device} of ${member.name}`}
                onPress={() => setRevoking(d)}
              >
                Remove
              </Button>
            )}
          </li>
        ))}
      </ul>
      <Confirm
        title={`Make ${member.name} a ${nextRole ?? ''}?`}
        isOpen={nextRole !== null}
        onOpenChange={() => setNextRole(null)}
        act={`Make ${nextRole ?? ''}`}
        onConfirm={() => nextRole && onRole(nextRole)}
      >
        <p>
          This takes effect right away on all their phones. What they changed so far stays. Unsent changes
          that the new role can’t make come back to them as drafts.
          {isMe &&
            member.role === 'manager' &&
            ' You will no longer be able to invite people or change this back yourself.'}
        </p>
      </Confirm>
      <Confirm
        title={`Remove this phone?`}
        isOpen={revoking !== null}
        onOpenChange={() => setRevoking(null)}
        act="Remove it"
        hot
        onConfirm={() => revoking && onRevoke(revoking)}
      >
        <p>
          <b>
            {revoking?.device} of {member.name}
          </b>{' '}
          loses access right away. Changes it has not sent yet stay readable on its own screen only.
          {revoking?.current && ' This is the phone in your hand. You will need a new code to come back.'}
        </p>
      </Confirm>
    </Ticket>
  )
}
