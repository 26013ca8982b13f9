'use client'
import { useState } from 'react'
import type { InviteResponse } from '@/lib/join/join-api'
import { showJoinCode } from '@/lib/join/join-code'
import { useNow } from '@/app/sync'
import { CopyText, Dialog, Qr, SelectField, whenText } from '@/app/ui'

/** The code, once: as a picture to scan, as letters to read out, as a link to send. It can't be shown again later. */
export function InvitationSheet({ made, onClose }: { made: InviteResponse | null; onClose: () => void }) {
  return (
    <Dialog title="Invitation" isOpen={made !== null} onOpenChange={(open) => !open && onClose()}>
      {made && <Invitation made={made} />}
    </Dialog>
  )
}

function Invitation({ made }: { made: InviteResponse }) {
  const now = useNow(60_000)
  // The address this page was opened under works for sure; loopback does so for this machine only, so then the network's come first.
  const isLoopback = /^(localhost|127\.|\[::1\])/.test(location.host)
  const origins = [
    ...new Set(isLoopback ? [...made.origins, location.origin] : [location.origin, ...made.origins]),
  ]
  const [origin, setOrigin] = useState(origins[0] ?? location.origin)
  const { role, name, singleUse, expiresAt } = made.invitation
  const link = `${origin}${made.path}`
  return (
    <>
      <p>
        {name ? `${name} joins` : 'Anyone who scans this joins'} as <b>{role}</b>, until{' '}
        {whenText(expiresAt, now)}
        {singleUse ? ', on one phone.' : ', on any number of phones.'}
      </p>
      <div className="grid justify-items-center gap-2">
        <Qr text={link} label="QR code of the join link" size={260} />
        <p className="num text-3xl font-bold tracking-wide" aria-label="Join code">
          {showJoinCode(made.code)}
        </p>
      </div>
      {origins.length > 1 && (
        <SelectField
          label="Address in the link"
          hint="Phones must be able to reach it. Choose the one for their network."
          value={origin}
          options={origins.map((o) => ({ id: o, label: o }))}
          onChange={(o) => o && setOrigin(o)}
        />
      )}
      <CopyText label="Join link" text={link} rows={2} />
      <p className="small">The code is shown only once. Close this after it is scanned.</p>
    </>
  )
}
