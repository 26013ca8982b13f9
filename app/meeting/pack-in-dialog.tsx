'use client'
import { useDerived, useBoard, useEditContext, useSettle } from '@/app/sync'
import { useState } from 'react'
import { putPackIn } from '@/lib/board'
import { voltageLimit, runsNow } from '@/lib/card'
import { Button, Caution, Dialog, Note, VoltsEntry } from '@/app/ui'

export interface PackInProps {
  runId: string
  packId: string
  isOpen: boolean
  onOpenChange: (open: boolean) => void
}

/** The pack goes in, with its voltage as read: inspection will ask the same question. */
export function PackInDialog({ runId, packId, isOpen, onOpenChange }: PackInProps) {
  const runs = useDerived(runsNow)
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const [volts, setVolts] = useState<number | null>(null)
  const run = runs.find((r) => r.runId === runId)
  const pack = view.packs.get(packId)
  const limit = run ? voltageLimit(run) : null
  const over = volts !== null && limit !== null && volts > limit
  const save = () => {
    const done = putPackIn(ctx, view, { runId, packId, restVoltageV: volts ?? undefined })
    if (settle(done, `${pack?.label ?? 'Pack'} is in ${run?.carName ?? 'the car'}`)) onOpenChange(false)
  }
  return (
    <Dialog
      title={`${pack?.label ?? 'Pack'} in ${run?.carName ?? 'the car'}`}
      isOpen={isOpen}
      onOpenChange={onOpenChange}
      acts={() => (
        <Button look="do" onPress={save} isDisabled={volts === null}>
          It is in and strapped
        </Button>
      )}
    >
      <VoltsEntry
        label="Measured voltage"
        value={volts}
        onChange={setVolts}
        onEnter={volts === null ? undefined : save}
      />
      {limit !== null && !over && (
        <p className="small">
          The class allows {limit.toFixed(2)} V including tolerance, by the rules entered for this meeting.
        </p>
      )}
      {over && (
        <Note tone="hot">
          Over the limit of {limit.toFixed(2)} V: it would fail inspection. You can save it, but the run is
          not “pack in” until the reading is legal.
        </Note>
      )}
      <Caution kind="pack" />
    </Dialog>
  )
}
