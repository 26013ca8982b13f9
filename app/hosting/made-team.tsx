'use client'
import type { MakeTeamResponse } from '@/lib/join/hosting-api'
import { showJoinCode } from '@/lib/join/join-code'
import { CopyText } from '@/app/ui/copy-text'
import { TicketBody, TicketHead } from '@/app/ui/ticket'

/** The first manager's link, once. */
export function MadeTeam({ made }: { made: MakeTeamResponse }) {
  return (
    <>
      <TicketHead level={1} title={`${made.name} has a board`} sub={new URL(made.link).host} />
      <TicketBody>
        <p>
          This link makes the first manager, on one phone, within 24 hours. Open it on the phone of whoever
          runs the team, or send it there.
        </p>
        <CopyText label="First manager’s link" text={made.link} rows={2} />
        <p className="num text-2xl font-bold tracking-wide" aria-label="Join code">
          {showJoinCode(made.code)}
        </p>
        <div className="btn-row">
          <a className="btn btn-do" href={made.link}>
            Join on this phone
          </a>
        </div>
        <p className="small">
          The link is shown only once. Should it get lost, whoever runs this server can make another.
        </p>
      </TicketBody>
    </>
  )
}
