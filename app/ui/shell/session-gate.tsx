'use client'
import type { ReactNode } from 'react'
import { onlyHere } from '@/app/photos/only-here'
import { usePhotosWaiting } from '@/app/photos/use-photos-waiting'
import { useOpenBoard, useSyncPart } from '@/app/sync'
import { Button } from '@/app/ui/button'
import { LinkButton } from '@/app/ui/link'
import { CopyText } from '@/app/ui/copy-text'
import { Loading, Offline } from '@/app/ui/panels'
import { Ticket, TicketBody, TicketHead } from '@/app/ui/ticket'
import { never } from '@/lib/core/assert'

const OPENING = <Loading what="Opening the board" />

/** Lets members through; everybody else learns why not and what to do. */
export function SessionGate({ children }: { children: ReactNode }) {
  const membership = useSyncPart((s) => s.membership)
  const hasContent = useSyncPart((s) => s.kit?.hasContent === true)
  const isComing = useSyncPart((s) => s.online || s.kit?.connection === 'connecting')
  const board = useOpenBoard()
  switch (membership.state) {
    case 'starting':
      return OPENING
    case 'stranger':
      return <Stranger />
    case 'unreachable':
      return (
        <div className="page page-narrow">
          <Offline
            level={1}
            acts={
              <>
                <Button onPress={() => location.reload()}>Try again</Button>
                <LinkButton href="/tools">Tools, without joining</LinkButton>
              </>
            }
          >
            <p>
              This phone has not joined a board yet, and no server answers. Get on the pit’s network, then
              open the link or scan the code from a manager.
            </p>
          </Offline>
        </div>
      )
    case 'revoked':
      return <Revoked reason={membership.reason} unsent={membership.unsent} />
    case 'member':
      if (!board) return OPENING
      if (!hasContent)
        return isComing ? (
          <Loading what="Loading the board">The first time takes a moment.</Loading>
        ) : (
          <div className="page page-narrow">
            <Offline level={1} title="Nothing on this phone yet">
              <p>The board loads as soon as the server answers. Stay on this page.</p>
            </Offline>
          </div>
        )
      return children
    default:
      return never(membership)
  }
}

function Stranger() {
  return (
    <div className="page page-narrow">
      <Ticket tone="calm">
        <TicketHead title="Stagecall" sub="The race-day board of this pit" level={1} />
        <TicketBody>
          <p>
            Who is next, what each car needs and what it really has, and what would stop the next run: one
            board on every phone in the team.
          </p>
          <h2>How to join</h2>
          <ol className="list-decimal pl-6 grid gap-1">
            <li>Ask a manager for a code. It is on their crew page, as a link and a QR code.</li>
            <li>Scan it with this phone’s camera, or type it in.</li>
            <li>Say who you are. That is all; there is no password.</li>
          </ol>
          <div className="btn-row">
            <LinkButton href="/join" look="do">
              I have a code
            </LinkButton>
            <LinkButton href="/help">What is this?</LinkButton>
            <LinkButton href="/tools">Tools, without joining</LinkButton>
          </div>
          <p className="small">
            Do you run the board? The first manager’s link is in the terminal of the machine it runs on, or
            was shown when the team was made.
          </p>
        </TicketBody>
      </Ticket>
    </div>
  )
}

function Revoked({ reason, unsent }: { reason: string; unsent: readonly string[] }) {
  const photos = usePhotosWaiting()
  const here = onlyHere(unsent.length, photos)
  return (
    <div className="page page-narrow">
      <Ticket tone="hot">
        <TicketHead title="This phone was removed" sub={reason} level={1} />
        <TicketBody>
          {here === null ? (
            <p>Everything you changed was already on the server.</p>
          ) : (
            <p role="alert">
              <b>{here} only on this phone.</b>{' '}
              {unsent.length > 0 &&
                'Changes can’t be sent anymore: copy the text and give it to somebody who can enter it. '}
              {photos > 0 && 'Photos are sent if this phone joins again.'}
            </p>
          )}
          {unsent.length > 0 && <CopyText label="What was not sent" text={unsent.join('\n')} />}
          <p>If this is a mistake, ask a manager for a new code.</p>
          <div className="btn-row">
            <LinkButton href="/join" look="do">
              I have a new code
            </LinkButton>
          </div>
        </TicketBody>
      </Ticket>
    </div>
  )
}
