'use client'
import { useBoard, useEditContext, useSettle } from '@/app/sync'
import { canWrite, noteTires, setOfRun, setToldBy, TIRE_LOOKS, type TireLook } from '@/lib/board'
import { TIRE_LOOK_WORDS } from '@/app/words/debrief-words'
import { ChoiceField, NumberEntry } from '@/app/ui'
import { ByLine } from './by-line'
import type { PartProps } from './part-props'

/** How the tires came back: their look with one tap, their diameter if somebody measures it. */
export function TiresPart({ run }: PartProps) {
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const now = view.runs.get(run.runId)
  const set = view.tireSets.get(setOfRun(now))
  const told = set && setToldBy(view, run.runId) === set.id
  const may = canWrite(ctx, 'meeting', 'runs', run.runId, 'tireLook')
  const note = (t: { look?: TireLook; diameterMm?: number | null }) =>
    void settle(noteTires(ctx, view, { runId: run.runId, ...t }))
  return (
    <div className="ticket-body">
      <p className="small">
        {set
          ? `Set ${set.label ?? '?'}${set.compound ? `, ${set.compound}` : ''}. ${told ? '“Worn out” takes it out of the tire plan.' : 'Another run used it since, so the set stays as it is.'}`
          : 'No tire set was assigned to this run.'}
      </p>
      <ChoiceField
        label="How they look"
        options={TIRE_LOOKS.map((id) => ({ id, label: TIRE_LOOK_WORDS[id] }))}
        value={now?.tireLook?.v ?? null}
        isDisabled={!may}
        onChange={(id) => {
          const look = TIRE_LOOKS.find((l) => l === id)
          if (look) note({ look })
        }}
      />
      <NumberEntry
        quick
        label="Diameter"
        unit="mm"
        min={40}
        max={150}
        step={0.5}
        value={now?.tireMm?.v ?? null}
        start={set?.diameterMm ?? 83}
        isDisabled={!may}
        onChange={(diameterMm) => note({ diameterMm })}
      />
      <ByLine runId={run.runId} fields={['tireLook', 'tireMm']} />
    </div>
  )
}
