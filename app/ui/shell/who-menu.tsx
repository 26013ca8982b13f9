'use client'
import { lazy, Suspense, useState } from 'react'
import { useSyncPart } from '@/app/sync'
import { useCallsHere } from '@/app/calls/use-calls-here'
import { Button } from '@/app/ui/button'
import { useCommandBook } from '@/app/ui/command-context'
import { Dialog } from '@/app/ui/dialog'
import { LatePart } from '@/app/ui/late-part'
import { loadAhead } from '@/app/ui/load-ahead'

const whoSheet = loadAhead(() => import('./who-sheet'))
const WhoSheet = lazy(whoSheet)

/** Who this device is here, what it was set to, and on a laptop the command list. */
export function WhoMenu() {
  const membership = useSyncPart((s) => s.membership)
  const { setOpen } = useCommandBook()
  const [open, setOpenHere] = useState(false)
  const session = membership.state === 'member' ? membership.session : null
  const isStranger = membership.state === 'stranger' || membership.state === 'revoked'
  useCallsHere(session ? true : isStranger ? false : null)
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
        <Suspense fallback={<LatePart part={whoSheet} onClose={() => setOpenHere(false)} />}>
          <WhoSheet session={session} onLeave={() => setOpenHere(false)} />
        </Suspense>
      </Dialog>
    </>
  )
}
