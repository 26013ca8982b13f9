'use client'
import { lazy, Suspense, useState } from 'react'
import { Dialog } from '@/app/ui/dialog'
import { LatePart } from '@/app/ui/late-part'
import { loadAhead } from '@/app/ui/load-ahead'
import type { Place } from '@/app/ui/navigation'

const moreList = loadAhead(() => import('./more-list'))
const MoreList = lazy(moreList)

/** The last of a navigation: opens the list of all other places. */
export function MoreButton({ besides }: { besides: readonly Place[] }) {
  const [isOpen, setOpen] = useState(false)
  const close = () => setOpen(false)
  return (
    <>
      <button type="button" aria-haspopup="dialog" onClick={() => setOpen(true)}>
        More
      </button>
      <Dialog title="More" isOpen={isOpen} onOpenChange={setOpen}>
        <Suspense fallback={<LatePart part={moreList} onClose={close} />}>
          <MoreList besides={besides} onChosen={close} />
        </Suspense>
      </Dialog>
    </>
  )
}
