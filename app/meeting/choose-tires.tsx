'use client'
import { useState } from 'react'
import { useBoard, useDerived, useEditContext, useSettle } from '@/app/sync'
import { assignTires, type TireSet } from '@/lib/board'
import { runsNow, tiresFor, type RunInfo, carInHeat } from '@/lib/card'
import { Button, ChoiceField, Dialog, LinkButton } from '@/app/ui'
import { ChooseList } from './choose-list'
import type { ChooseProps } from './choose-pack'

const factsOf = (set: TireSet, onCar: string | undefined): string[] =>
  [
    set.compound,
    set.tread,
    set.insert,
    set.runs === undefined ? null : `${set.runs}${set.runsGood ? ` of ${set.runsGood}` : ''} runs`,
    set.state?.v,
    onCar ? `on ${onCar}` : null,
  ].filter((fact) => typeof fact === 'string')

/** Give a run a tire set. */
export function ChooseTires({ runIds, isOpen, onOpenChange }: ChooseProps) {
  const all = useDerived(runsNow)
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const runs = runIds
    .map((id) => all.find((r) => r.runId === id))
    .filter((r): r is RunInfo => r !== undefined)
  const [runId, setRunId] = useState<string | null>(null)
  const run = runs.find((r) => r.runId === runId) ?? runs.at(-1)
  const choose = (tireSetId: string | null) => {
    if (!run) return
    const label = tireSetId ? (view.tireSets.get(tireSetId)?.label ?? 'Tires') : 'No tires'
    if (settle(assignTires(ctx, view, { runId: run.runId, tireSetId }), `${label} for ${run.carName}`))
      onOpenChange(false)
  }
  return (
    <Dialog
      title="Which tires?"
      isOpen={isOpen}
      onOpenChange={onOpenChange}
      acts={() => run?.run?.tireSetId?.v && <Button onPress={() => choose(null)}>No tires</Button>}
    >
      {runs.length > 1 && (
        <ChoiceField
          label="For which run"
          value={run?.runId ?? null}
          onChange={setRunId}
          options={runs.map((r) => ({ id: r.runId, label: carInHeat(r) }))}
        />
      )}
      {view.tireSets.live.length === 0 && (
        <p>
          No tire sets in the kit yet. <LinkButton href="/kit/tireSets">Open the kit</LinkButton>
        </p>
      )}
      {run && (
        <ChooseList
          onChoose={choose}
          items={tiresFor(view, all, run).map(({ item: set, fits, promisedTo }) => ({
            id: set.id,
            words: [set.label, set.compound, set.tread].join(' '),
            says: `${set.label ?? 'Tires'} for ${run.carName}`,
            face: (
              <span className="choose-face">
                <span className="num choose-label">{set.label ?? '?'}</span>
                <span className="small text-left">
                  {run.run?.tireSetId?.v === set.id && <b>assigned now · </b>}
                  {factsOf(set, set.onCarId ? view.cars.get(set.onCarId)?.name : undefined).join(' · ')}
                  <span className="choose-against">
                    {!fits && <span>meant for {set.drive === '2wd' ? '2WD' : '4WD'}</span>}
                    {promisedTo.map((o) => (
                      <span key={o.runId}>assigned to {carInHeat(o)}</span>
                    ))}
                  </span>
                </span>
              </span>
            ),
          }))}
        />
      )}
    </Dialog>
  )
}
