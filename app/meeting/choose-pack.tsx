'use client'
import { useDerived, useBoard, useSettle, useEditContext, useNow } from '@/app/sync'
import { useState } from 'react'
import { assignPack, type Pack } from '@/lib/board'
import { runsNow, type RunInfo } from '@/lib/card'
import { compareNames } from '@/lib/core/compare-names'
import { Button, ChoiceField, Dialog, LinkButton } from '@/app/ui'
import { PackFace } from './pack-face'

export interface ChooseProps {
  runIds: readonly string[]
  isOpen: boolean
  onOpenChange: (open: boolean) => void
}

/** Other coming runs that a pack is assigned to. */
const promisedTo = (all: readonly RunInfo[], packId: string, besides: RunInfo): RunInfo[] =>
  all.filter((r) => r.runId !== besides.runId && r.run?.packId?.v === packId && r.state !== 'finished')

/** Give a run a pack. When two runs share one, each can be given another. */
export function ChoosePack({ runIds, isOpen, onOpenChange }: ChooseProps) {
  const all = useDerived(runsNow)
  const view = useBoard()
  const settle = useSettle()
  const ctx = useEditContext()
  const now = useNow(5_000)
  const runs = runIds
    .map((id) => all.find((r) => r.runId === id))
    .filter((r): r is RunInfo => r !== undefined)
  const [runId, setRunId] = useState<string | null>(null)
  const run = runs.find((r) => r.runId === runId) ?? runs.at(-1)
  const orphan = runs.length === 0 ? runIds[0] : undefined
  const cells = run?.raceClass?.cells
  const fits = (p: Pack) => cells === undefined || p.cells === undefined || p.cells === cells
  const packs = view.packs.live.filter((p) => p.state?.v !== 'retired')
  const choose = (packId: string | null, close: () => void) => {
    const id = run?.runId ?? orphan
    if (!id) return
    const label = packId ? (view.packs.get(packId)?.label ?? 'Pack') : 'No pack'
    if (settle(assignPack(ctx, view, { runId: id, packId }), `${label} for ${run?.carName ?? 'the run'}`))
      close()
  }
  return (
    <Dialog
      title="Which pack?"
      isOpen={isOpen}
      onOpenChange={onOpenChange}
      acts={(close) => run?.run?.packId?.v && <Button onPress={() => choose(null, close)}>No pack</Button>}
    >
      {runs.length > 1 && (
        <ChoiceField
          label="For which run"
          value={run?.runId ?? null}
          onChange={setRunId}
          options={runs.map((r) => ({ id: r.runId, label: `${r.carName}, heat ${r.heat.number ?? '?'}` }))}
        />
      )}
      {orphan && (
        <p>
          The run is no longer in the running order. Its pack and tires stay assigned until somebody frees
          them. Importing the heat again brings the run back.
        </p>
      )}
      {packs.length === 0 && (
        <p>
          No packs in the kit yet. <LinkButton href="/kit/packs">Open the kit</LinkButton>
        </p>
      )}
      {run && (
        <ul className="choose-list">
          {[...packs]
            .sort((a, b) => Number(fits(b)) - Number(fits(a)) || compareNames(a.label, b.label))
            .map((pack) => {
              const others = promisedTo(all, pack.id, run)
              return (
                <li key={pack.id}>
                  <Button
                    wide
                    isDisabled={!fits(pack)}
                    onPress={() => choose(pack.id, () => onOpenChange(false))}
                    aria-label={`${pack.label ?? 'Pack'} for ${run.carName}`}
                  >
                    <PackFace pack={pack} now={now} chosen={run.run?.packId?.v === pack.id}>
                      {!fits(pack) && (
                        <span>
                          wrong cell count: {pack.cells}, the class runs {cells}
                        </span>
                      )}
                      {others.map((o) => (
                        <span key={o.runId}>
                          assigned to {o.carName}, heat {o.heat.number ?? '?'}
                        </span>
                      ))}
                    </PackFace>
                  </Button>
                </li>
              )
            })}
        </ul>
      )}
    </Dialog>
  )
}
