'use client'
import { useBoard, useEditContext, useSettle } from '@/app/sync'
import { canWrite, noteTires, TIRE_LOOKS, type TireLook } from '@/lib/board'
import { TIRE_LOOK_WORDS } from '@/app/words/debrief-words'
import { ChoiceField } from '@/app/ui'
import { ByLine } from './by-line'
import type { PartProps } from './part-props'
import { QuickNumber } from './quick-number'

/** How the tires came back: their look with one tap, their diameter if somebody measures it. */
export function TiresPart({ run }: PartProps) {
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const now = view.runs.get(run.runId)
  const setId = now?.record?.v?.tireSetId ?? now?.tiresOn?.v ?? now?.tireSetId?.v
  const set = view.tireSets.get(setId)
  const may = canWrite(ctx, 'meeting', 'runs', run.runId, 'tireLook')
  const note = (t: { look?: TireLook; diameterMm?: number | null }) =>
    void settle(noteTires(ctx, view, { runId: run.runId, ...t }))
  return (
    <div className="ticket-body">
      <p className="small">
        {set
          ? `Set ${set.label ?? '?'}${set.compound ? `, ${set.compound}` : ''}. “Worn out” takes it out of the tire plan.`
          : 'No tire set was assigned to this run.'}
      </p>
      <ChoiceField
        label="Tread"
        options={TIRE_LOOKS.map((id) => ({ id, label: TIRE_LOOK_WORDS[id] }))}
        value={now?.tireLook?.v ?? null}
        isDisabled={!may}
        onChange={(id) => {
          const look = TIRE_LOOKS.find((l) => l === id)
          if (look) note({ look })
        }}
      />
      <QuickNumber
        label="Diameter"
        unit="mm"
        min={40}
        max={150}
        step={0.5}
        value={now?.tireMm?.v ?? null}
        start={set?.diameterMm ?? 83}
        isDisabled={!may}
        onCommit={(diameterMm) => note({ diameterMm })}
      />
      <ByLine runId={run.runId} fields={['tireLook', 'tireMm']} />
    </div>
  )
}
