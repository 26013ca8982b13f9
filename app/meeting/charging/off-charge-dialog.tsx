'use client'
import { useState } from 'react'
import { runNow } from '@/lib/card'
import { runBefore, stopCharge, type MeetingRecord, heatName } from '@/lib/board'
import { Button, Caution, Dialog, NumberEntry, VoltsEntry } from '@/app/ui'
import { useBoard, useDerived, useEditContext, useSettle } from '@/app/sync'

/** A pack comes off the charger: what went in, said once, goes to the charge, the pack and the debrief of the run that it came out of. */
export function OffChargeDialog({
  charge,
  isOpen,
  onOpenChange,
}: {
  charge: MeetingRecord<'charges'>
  isOpen: boolean
  onOpenChange: (open: boolean) => void
}) {
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const [mah, setMah] = useState<number | null>(null)
  const [before, setBefore] = useState<number | null>(null)
  const [volts, setVolts] = useState<number | null>(null)
  const label = view.packs.get(charge.packId)?.label ?? 'Pack'
  const runId = charge.packId && runBefore(view, charge.packId, charge.startedAt?.v ?? 0)
  const run = useDerived(runNow, runId ?? '')
  const stop = (full: boolean) => {
    const done = stopCharge(ctx, view, {
      chargeId: charge.id,
      full,
      chargedMah: mah ?? undefined,
      endVoltageV: volts ?? undefined,
      restBeforeV: before ?? undefined,
    })
    if (settle(done, full ? `${label} is charged` : `${label} taken off early`)) onOpenChange(false)
  }
  return (
    <Dialog
      title={`${label} off charge`}
      isOpen={isOpen}
      onOpenChange={onOpenChange}
      acts={() => (
        <>
          <Button onPress={() => stop(false)}>Taken off early</Button>
          <Button look="do" onPress={() => stop(true)}>
            It is full
          </Button>
        </>
      )}
    >
      {run && (
        <p className="small">
          Saved with the debrief of {run.carName}, {heatName(run.heat, run.raceClass?.name)} too, once it is
          full.
        </p>
      )}
      <NumberEntry
        label="Charge put in, from the charger’s display"
        value={mah}
        onChange={setMah}
        min={0}
        max={20000}
        step={1}
        unit="mAh"
      />
      <VoltsEntry label="Voltage at the end" value={volts} onChange={setVolts} />
      {run && (
        <VoltsEntry
          label="Resting voltage before the charge, if measured"
          value={before}
          onChange={setBefore}
        />
      )}
      <Caution kind="pack" />
    </Dialog>
  )
}
