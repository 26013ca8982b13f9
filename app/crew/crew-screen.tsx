'use client'
import { useState } from 'react'
import type { InviteResponse } from '@/lib/join/join-api'
import { usePresence, useSession } from '@/app/sync'
import { Button, Loading, Offline, Refused, useToasts } from '@/app/ui'
import { NextStep } from '@/app/first-steps/next-step'
import { callApi } from '@/app/ui/call-api'
import { InviteDialog } from './invite-dialog'
import { InvitationList } from './invitation-list'
import { InvitationSheet } from './invitation-sheet'
import { LeaveButton } from './leave-button'
import { PersonTicket } from './person-ticket'
import { useCrew } from './use-crew'

/** Who belongs to the crew, with which phones, and how others get in. Managers act, the others see. */
export function CrewScreen() {
  const { role, personId } = useSession()
  const isManager = role === 'manager'
  const { people, invitations, trouble, refresh } = useCrew(isManager)
  const here = new Set(usePresence().map((p) => p.personId))
  const toasts = useToasts()
  const open = invitations.filter((i) => i.state === 'open')
  const [inviting, setInviting] = useState(false)
  const [made, setMade] = useState<InviteResponse | null>(null)

  const post = async (path: string, body: unknown, said: string) => {
    const done = await callApi(path, body)
    if (done.ok) toasts.say(said)
    else toasts.refused(done.error)
    await refresh()
  }

  if (!people && !trouble) return <Loading what="Loading the crew" />
  if (!people && trouble)
    return (
      <div className="page page-narrow">
        {trouble.field === 'Server' ? (
          <Offline level={1} acts={<Button onPress={() => void refresh()}>Try again</Button>}>
            <p>
              The crew list is on the server, and the server does not answer. The board itself still works.
            </p>
          </Offline>
        ) : (
          <Refused level={1} refusal={trouble} />
        )}
      </div>
    )
  return (
    <div className="page">
      <NextStep />
      <div className="page-head">
        <div>
          <h1>Crew</h1>
          <p className="small">
            {isManager
              ? 'Invite people, set roles, remove phones.'
              : 'A manager invites people, sets roles and removes phones.'}
          </p>
        </div>
        {isManager && (
          <Button look="do" onPress={() => setInviting(true)}>
            Invite
          </Button>
        )}
      </div>
      {trouble && <Refused refusal={trouble} />}
      <div className={open.length ? 'split' : undefined}>
        <ul className="grid grid-cols-1 gap-3 lg:grid-cols-2 items-start">
          {people?.map((p) => (
            <li key={p.personId}>
              <PersonTicket
                member={p}
                isMe={p.personId === personId}
                isHere={here.has(p.personId)}
                isManager={isManager}
                onRole={(next) =>
                  void post(`/api/crew/people/${p.personId}/role`, { role: next }, `${p.name} is now ${next}`)
                }
                onRevoke={(d) =>
                  void post(
                    `/api/crew/devices/${d.sessionId}/revoke`,
                    {},
                    `${p.name}: ${d.device} was removed`,
                  )
                }
              />
            </li>
          ))}
        </ul>
        {open.length > 0 && (
          <InvitationList
            open={open}
            onRevoke={(id) => void post(`/api/crew/invitations/${id}/revoke`, {}, 'Invitation canceled')}
          />
        )}
      </div>
      <LeaveButton />
      <InviteDialog
        isOpen={inviting}
        onOpenChange={setInviting}
        onMade={(invitation) => {
          setInviting(false)
          setMade(invitation)
          void refresh()
        }}
      />
      <InvitationSheet made={made} onClose={() => setMade(null)} />
    </div>
  )
}
