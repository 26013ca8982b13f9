'use client'
import { useBoard, useEditContext, useSettle } from '@/app/sync'
import { useState } from 'react'
import { canWrite, noteCharge, runBefore } from '@/lib/board'
import { Button, Caution, Note, NumberEntry, timeText } from '@/app/ui'
import { OffChargeDialog } from '@/app/meeting/charging/off-charge-dialog'
import { ByLine } from './by-line'
import type { PartProps } from './part-props'

/** What the charger put back. Whoever takes the pack off charge has entered it with that: here it is only where that was not done. */
export function ChargePart({ run }: PartProps) {
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const [stopping, setStopping] = useState(false)
  const now = view.runs.get(run.runId)
  const packId = now?.record?.v?.packId ?? now?.packIn?.v ?? now?.packId?.v
  const pack = view.packs.get(packId)
  const may = canWrite(ctx, 'meeting', 'runs', run.runId, 'chargeBackMah')
  const note = (t: { chargeBackMah?: number | null; restVoltageV?: number | null }) =>
    void settle(noteCharge(ctx, view, { runId: run.runId, ...t }))
  const charging = view.charges.live.find(
    (c) =>
      packId &&
      c.packId === packId &&
      c.startedAt?.v &&
      !c.stoppedAt?.v &&
      runBefore(view, packId, c.startedAt.v) === run.runId,
  )
  const cells = pack?.cells ?? run.raceClass?.cells ?? 2
  return (
    <div className="ticket-body">
      {charging ? (
        <>
          <Note>
            {pack?.label ?? 'The pack'} is on charge since {timeText(charging.startedAt?.v ?? 0)}. “Off
            charge”, here or in the plan, saves what went in with this run.
          </Note>
          <Button look="do" isDisabled={!may} onPress={() => setStopping(true)}>
            Off charge
          </Button>
          <OffChargeDialog charge={charging} isOpen={stopping} onOpenChange={setStopping} />
        </>
      ) : (
        <p className="small">
          {pack
            ? `${pack.label ?? 'The pack'} ${run.state === 'finished' ? 'was' : 'is'} in the car. “Off charge” in the plan fills this in.`
            : 'No pack was noted for this run.'}
        </p>
      )}
      <Caution kind="pack">
        Let the pack cool before it goes on charge, and look it over: never charge a swollen, dented or hot
        pack.
      </Caution>
      <NumberEntry
        quick
        label="Charge put back"
        unit="mAh"
        min={0}
        max={20000}
        step={10}
        start={pack?.capacityMah ? 10 * Math.round(pack.capacityMah / 20) : 2500}
        value={now?.chargeBackMah?.v ?? null}
        isDisabled={!may}
        onChange={(chargeBackMah) => note({ chargeBackMah })}
      />
      <NumberEntry
        quick
        label="Resting voltage before the charge"
        unit="V"
        min={0}
        max={30}
        step={0.01}
        start={3.8 * cells}
        value={now?.restVoltageV?.v ?? null}
        isDisabled={!may}
        onChange={(restVoltageV) => note({ restVoltageV })}
      />
      <ByLine runId={run.runId} fields={['chargeBackMah', 'restVoltageV']} />
    </div>
  )
}
