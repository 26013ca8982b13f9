'use client'
import { useState } from 'react'
import { useSyncPart } from '@/app/sync'
import { Button, LinkButton } from '@/app/ui/button'
import { useCommandBook } from '@/app/ui/command-context'
import { Dialog } from '@/app/ui/dialog'
import { SpeedSwitch } from '@/app/ui/speed-unit'
import { ThemeSwitch } from './theme-switch'

/** Who this device is here, the paper, help, and on a laptop the command list. */
export function WhoMenu() {
  const membership = useSyncPart((s) => s.membership)
  const { setOpen } = useCommandBook()
  const [open, setOpenHere] = useState(false)
  const session = membership.state === 'member' ? membership.session : null
  return (
    <>
      {session && (
        <span className="only-wide">
          <Button look="quiet" aria-label="Commands /" onPress={() => setOpen(true)}>
            <span className="only-roomy">Commands</span>
            <kbd title="Commands">/</kbd>
          </Button>
        </span>
      )}
      <span className="top-who">
        <Button look="quiet" onPress={() => setOpenHere(true)}>
          <span>{session ? session.name : 'Screen and help'}</span>
        </Button>
      </span>
      <Dialog title={session ? session.name : 'Stagecall'} isOpen={open} onOpenChange={setOpenHere}>
        {session && (
          <p>
            You are here as <b>{session.role}</b>. Who can do what is on the help page.
          </p>
        )}
        <ThemeSwitch />
        <SpeedSwitch />
        <div className="btn-row">
          <LinkButton href="/help" onClick={() => setOpenHere(false)}>
            Help: the words, the marks, cautions
          </LinkButton>
          {session && (
            <LinkButton href="/" onClick={() => setOpenHere(false)}>
              All meetings
            </LinkButton>
          )}
        </div>
      </Dialog>
    </>
  )
}
