'use client'
import { putTiresOn } from '@/lib/board'
import { Button, Caution, Dialog } from '../../../ui'
import type { RaceDay } from '../use-race-day'

export interface TiresOnProps {
  day: RaceDay
  runId: string
  tireSetId: string
  isOpen: boolean
  onOpenChange: (open: boolean) => void
}

/** The tires are on the car. */
export function TiresOnDialog({ day, runId, tireSetId, isOpen, onOpenChange }: TiresOnProps) {
  const run = day.runs.find((r) => r.runId === runId)
  const set = day.view.tireSets.get(tireSetId)
  const elsewhere = set?.onCarId && set.onCarId !== run?.carId ? day.view.cars.get(set.onCarId)?.name : null
  const save = () => {
    if (
      day.settle(
        putTiresOn(day.ctx, day.view, { runId, tireSetId }),
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
