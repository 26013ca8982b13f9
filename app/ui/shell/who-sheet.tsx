'use client'
import { CallsSwitch } from '@/app/calls/calls-switch'
import type { ActiveSession } from '@/app/sync/client-store'
import { LinkButton } from '@/app/ui/link'
import { SpeedSwitch } from '@/app/ui/speed-unit'
import { ThemeSwitch } from './theme-switch'

/** What one's name opens: who this device is here, the paper, speeds, calls, help. Loaded once the page stands. */
export default function WhoSheet({
  session,
  onLeave,
}: {
  session: ActiveSession | null
  onLeave: () => void
}) {
  return (
    <>
      {session && (
        <p>
          You are here as <b>{session.role}</b>. Who can do what is on the help page.
        </p>
      )}
      <ThemeSwitch />
      <SpeedSwitch />
      {session && <CallsSwitch />}
      <div className="btn-row">
        <LinkButton href="/help" onClick={onLeave}>
          Help: the words, the marks, cautions
        </LinkButton>
        {session && (
          <LinkButton href="/" onClick={onLeave}>
            All meetings
          </LinkButton>
        )}
      </div>
    </>
  )
}
