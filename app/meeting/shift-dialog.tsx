'use client'
import { useState } from 'react'
import { shiftHeats, type Heat } from '@/lib/board'
import { useAct, useBoard } from '@/app/sync'
import { Button, Dialog, NumberEntry } from '@/app/ui'

/** Move the planned start of a heat and of everything after it: the race office announced a delay. */
export function ShiftDialog({
  heat,
  title = 'Move this and all later heats',
  isOpen,
  onOpenChange,
}: {
  heat: Heat
  title?: string
  isOpen: boolean
  onOpenChange: (open: boolean) => void
}) {
  const view = useBoard()
  const act = useAct()
  const [minutes, setMinutes] = useState<number | null>(10)
  const list = view.heats.live
  const later = list
    .slice(list.findIndex((h) => h.id === heat.id))
    .filter((h) => !h.startedAt?.v && h.plannedStart)
  const save = () => {
    if (!minutes) return
    const done = act(
      (ctx, v) => shiftHeats(ctx, v, { fromHeatId: heat.id, minutes }),
      `${later.length} heats moved by ${minutes} min`,
    )
    if (done.ok) onOpenChange(false)
  }
  return (
    <Dialog title={title} isOpen={isOpen} onOpenChange={onOpenChange}>
      <p>
        Changes the planned times of {later.length} heats and breaks that have not started. If the day is just
        running late, stamp the starts instead. The expected times then move on their own.
      </p>
      <NumberEntry
        label="By how much"
        hint="Use a minus for earlier."
        value={minutes}
        min={-600}
        max={600}
        step={1}
        unit="min"
        stepper
        onChange={setMinutes}
        onEnter={save}
      />
      <div className="btn-row">
        <Button look="do" isDisabled={!minutes || later.length === 0} onPress={save}>
          Move {later.length} heats
        </Button>
      </div>
    </Dialog>
  )
}
