'use client'
import { useState } from 'react'
import { putPackIn } from '@/lib/board'
import { voltageLimit } from '@/lib/card'
import { Button, Caution, Dialog, Note, NumberEntry } from '../../../ui'
import type { RaceDay } from '../use-race-day'

export interface PackInProps {
  day: RaceDay
  runId: string
  packId: string
  isOpen: boolean
  onOpenChange: (open: boolean) => void
}

/** The pack goes in, with its voltage as read: inspection will ask the same question. */
export function PackInDialog({ day, runId, packId, isOpen, onOpenChange }: PackInProps) {
  const [volts, setVolts] = useState<number | null>(null)
  const run = day.runs.find((r) => r.runId === runId)
  const pack = day.view.packs.get(packId)
  const limit = run ? voltageLimit(run) : null
  const over = volts !== null && limit !== null && volts > limit
  const save = () => {
    const done = putPackIn(day.ctx, day.view, { runId, packId, restVoltageV: volts ?? undefined })
    if (day.settle(done, `${pack?.label ?? 'Pack'} is in ${run?.carName ?? 'the car'}`)) onOpenChange(false)
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
      <NumberEntry
        label="Measured voltage"
        value={volts}
        onChange={setVolts}
        min={0}
        max={30}
        step={0.01}
        unit="V"
        onEnter={volts === null ? undefined : save}
      />
      {limit !== null && !over && (
        <p className="small">
          The class allows {limit.toFixed(2)} V including tolerance, by the rules entered for this meeting.
        </p>
      )}
      {over && (
        <Note tone="hot">
          Over the limit of {limit?.toFixed(2)} V: it would fail inspection. You can save it, but the run is
          not “powered” until the reading is legal.
        </Note>
      )}
      <Caution kind="pack" />
    </Dialog>
  )
}
