'use client'
import { lazy, Suspense, useState } from 'react'
import { canWrite } from '@/lib/board'
import type { RaceDay } from '@/app/meeting/use-race-day'
import { Button } from '@/app/ui'
import { LatePart } from '@/app/ui/late-part'
import { loadAhead } from '@/app/ui/load-ahead'

const dialog = loadAhead(() =>
  import('@/app/meeting/charging/off-charge-dialog').then((m) => ({ default: m.OffChargeDialog })),
)
const OffChargeDialog = lazy(dialog)

/** What went in, and whether it is full, is asked: a pack that was taken off early is not charged. */
export function OffCharge({ day, chargeId }: { day: RaceDay; chargeId: string }) {
  const [open, setOpen] = useState(false)
  const charge = day.view.charges.get(chargeId)
  if (!charge) return null
  return (
    <>
      <Button
        isDisabled={!canWrite(day.ctx, 'meeting', 'charges', chargeId, 'stoppedAt')}
        onPress={() => setOpen(true)}
      >
        Off charge
      </Button>
      {open && (
        <Suspense fallback={<LatePart part={dialog} onClose={() => setOpen(false)} />}>
          <OffChargeDialog charge={charge} isOpen={open} onOpenChange={setOpen} />
        </Suspense>
      )}
    </>
  )
}
