'use client'
import type { InvitationInfo } from '@/lib/join/join-api'
import { useNow } from '@/app/sync'
import { Button, durationText, Ticket, TicketHead } from '@/app/ui'

/** Doors that stand open, each with the tap that closes it. */
export function InvitationList({
  open,
  onRevoke,
}: {
  open: readonly InvitationInfo[]
  onRevoke: (id: string) => void
}) {
  const now = useNow(30_000)
  return (
    <Ticket label="Open invitations">
      <TicketHead title="Open invitations" sub="Anyone with one of these codes can join." />
      <ul className="ruled">
        {open.map((i) => (
          <li
            key={i.id}
            className="flex flex-wrap items-center justify-between gap-x-4 gap-y-2 px-[var(--gutter)] py-2"
          >
            <span className="min-w-0">
              <b>{i.role}</b>
              {i.name && `, for ${i.name}`}
              <span className="small block">
                {durationText(i.expiresAt - now)} left, {i.singleUse ? 'one phone' : 'any number of phones'},
                used {i.uses} {i.uses === 1 ? 'time' : 'times'}
              </span>
            </span>
            <Button
              look="hot"
              aria-label={`Cancel the invitation for a ${i.role}`}
              onPress={() => onRevoke(i.id)}
            >
              Cancel
            </Button>
          </li>
        ))}
      </ul>
    </Ticket>
  )
}
