'use client'
import { useState } from 'react'
import { useBoard, useDerived, useEditContext, useSettle } from '@/app/sync'
import { assignTires, type TireSet } from '@/lib/board'
import { runsNow, type RunInfo } from '@/lib/card'
import { compareNames } from '@/lib/core/compare-names'
import { Button, ChoiceField, Dialog, LinkButton } from '@/app/ui'
import type { ChooseProps } from './choose-pack'

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
  const sets = view.tireSets.live
  const drive = run ? view.cars.get(run.carId)?.drive : undefined
  const fits = (t: TireSet) => !t.drive || !drive || t.drive === drive
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
          options={runs.map((r) => ({ id: r.runId, label: `${r.carName}, heat ${r.heat.number ?? '?'}` }))}
        />
      )}
      {sets.length === 0 && (
        <p>
          No tire sets in the kit yet. <LinkButton href="/kit/tireSets">Open the kit</LinkButton>
        </p>
      )}
      <ul className="choose-list">
        {[...sets]
          .sort((a, b) => Number(fits(b)) - Number(fits(a)) || compareNames(a.label, b.label))
          .map((set) => {
            const onCar = set.onCarId ? view.cars.get(set.onCarId)?.name : null
            const facts = [
              set.compound,
              set.tread,
              set.insert,
              set.runs !== undefined ? `${set.runs}${set.runsGood ? ` of ${set.runsGood}` : ''} runs` : null,
              set.state?.v,
              onCar ? `on ${onCar}` : null,
            ]
            return (
              <li key={set.id}>
                <Button
                  wide
                  onPress={() => choose(set.id)}
                  aria-label={`${set.label ?? 'Tires'} for ${run?.carName ?? 'the run'}`}
                >
                  <span className="choose-face">
                    <span className="num choose-label">{set.label ?? '?'}</span>
                    <span className="small text-left">
                      {run?.run?.tireSetId?.v === set.id && <b>assigned now · </b>}
                      {facts.filter(Boolean).join(' · ')}
                      {!fits(set) && (
                        <span className="choose-against">
                          meant for {set.drive === '2wd' ? '2WD' : '4WD'}
                        </span>
                      )}
                    </span>
                  </span>
                </Button>
              </li>
            )
          })}
      </ul>
    </Dialog>
  )
}
