'use client'
import { lazy, Suspense, useEffect, useState } from 'react'
import { deviceCount } from '@/app/sync/presence'
import { onlyHere } from '@/app/photos/only-here'
import { usePhotosWaiting } from '@/app/photos/use-photos-waiting'
import { usePresence, useSyncPart } from '@/app/sync'
import type { SyncSnapshot } from '@/app/sync/sync-snapshot'
import { Dialog } from '@/app/ui/dialog'
import { MarkShape } from '@/app/ui/mark-shape'
import { LatePart } from '@/app/ui/late-part'
import { loadAhead } from '@/app/ui/load-ahead'

const savedSheet = loadAhead(() => import('./saved-sheet'))
const SavedSheet = lazy(savedSheet)

/** ms. So long a page that was just opened may take to reach the server before that is called offline. */
const FIRST_TRY_MS = 3000

/** The sum of all marks in a few words. */
export function savedSumText(
  { pending, online, fetching }: Pick<SyncSnapshot, 'pending' | 'online' | 'fetching'>,
  photos: number,
): string {
  const here = onlyHere(pending, photos)
  if (here !== null) return `${here} only on this phone`
  if (fetching) return 'loading the board'
  return online ? 'all saved on the server' : 'offline, nothing waiting'
}

/** The same in one word or two, for the one line that a phone's header has. */
export function shortSumText(
  { pending, online, fetching }: Pick<SyncSnapshot, 'pending' | 'online' | 'fetching'>,
  photos: number,
): string {
  if (pending + photos > 0) return `${pending + photos} only here`
  if (fetching) return 'loading'
  return online ? 'saved' : 'offline'
}

/** The header's sum; pressed, it says what is waiting, how the device's own store does, and who else is here. */
export function SavedSum() {
  const pending = useSyncPart((s) => s.pending)
  const online = useSyncPart((s) => s.online)
  const notTaken = useSyncPart((s) => s.drafts.length)
  const photos = usePhotosWaiting()
  const isWaiting = pending + photos > 0
  const [isNew, setNew] = useState(true)
  useEffect(() => {
    const timer = setTimeout(() => setNew(false), FIRST_TRY_MS)
    return () => clearTimeout(timer)
  }, [])
  const isOpening = isNew && !online && !isWaiting
  const sum = useSyncPart((s) => savedSumText(s, photos))
  const shortSum = useSyncPart((s) => shortSumText(s, photos))
  const text = isOpening ? 'connecting' : sum
  const short = isOpening ? 'connecting' : shortSum
  const people = usePresence()
  const [open, setOpen] = useState(false)
  const phones = deviceCount(people)
  return (
    <>
      <button
        type="button"
        className="top-saved"
        data-loose={isWaiting || (!online && !isOpening) ? '' : undefined}
        aria-haspopup="dialog"
        onClick={() => setOpen(true)}
      >
        <MarkIcon phone={isWaiting} />
        <span>
          <span aria-hidden="true" className="only-phone">
            {short}
          </span>
          <span className="hidden-on-phone">{text}</span>
          {notTaken > 0 && <b className="text-hot">, {notTaken} refused</b>}
          {online && phones > 0 && (
            <span className="small hidden-on-phone">
              {' '}
              · {phones} {phones === 1 ? 'phone' : 'phones'}
              <span className="only-roomy"> in the pit</span>
            </span>
          )}
        </span>
      </button>
      <span role="status" className="visually-hidden">
        {text}
      </span>
      <Dialog title="Saved and not saved yet" isOpen={open} onOpenChange={setOpen}>
        <Suspense fallback={<LatePart part={savedSheet} onClose={() => setOpen(false)} />}>
          <SavedSheet />
        </Suspense>
      </Dialog>
    </>
  )
}

function MarkIcon({ phone }: { phone: boolean }) {
  return (
    <span aria-hidden="true" className="[&_.saved-mark>span]:hidden">
      <MarkShape mark={phone ? 'phone' : 'saved'} />
    </span>
  )
}
