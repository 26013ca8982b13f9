'use client'
import { runsNow } from '@/lib/card'
import { useDerived, useBoard, useSettle, useEditContext } from '@/app/sync'
import { putTiresOn } from '@/lib/board'
import { Button, Caution, Dialog } from '@/app/ui'

export interface TiresOnProps {
  runId: string
  tireSetId: string
  isOpen: boolean
  onOpenChange: (open: boolean) => void
}

/** The tires are on the car. */
export function TiresOnDialog({ runId, tireSetId, isOpen, onOpenChange }: TiresOnProps) {
  const runs = useDerived(runsNow)
  const view = useBoard()
  const settle = useSettle()
  const ctx = useEditContext()
  const run = runs.find((r) => r.runId === runId)
  const set = view.tireSets.get(tireSetId)
  const elsewhere = set?.onCarId && set.onCarId !== run?.carId ? view.cars.get(set.onCarId)?.name : null
  const save = () => {
    if (
      settle(
        putTiresOn(ctx, view, { runId, tireSetId }),
        `${set?.label ?? 'Tires'} on ${run?.carName ?? 'the car'}`,
      )
    )
      onOpenChange(false)
  }
  return (
    <Dialog
      title={`${set?.label ?? 'Tires'} on ${run?.carName ?? 'the car'}`}
      isOpen={isOpen}
      onOpenChange={onOpenChange}
      acts={() => (
        <Button look="do" onPress={save}>
          They are on, wheel nuts tight
        </Button>
      )}
    >
      <p>
        {[set?.compound, set?.tread, set?.insert].filter(Boolean).join(', ') ||
          'No compound entered for this set.'}
      </p>
      {elsewhere && <p>The board has this set on {elsewhere}. Saving moves it here.</p>}
      <Caution kind="wheels" />
    </Dialog>
  )
}
