'use client'
import { useDerived, useBoard, useSettle, useEditContext, useNow } from '@/app/sync'
import { useState } from 'react'
import { assignPack } from '@/lib/board'
import { PACK_STATE_WORDS, packsFor, runsNow, type RunInfo, carInHeat } from '@/lib/card'
import { Button, ChoiceField, Dialog, LinkButton } from '@/app/ui'
import { ChooseList } from './choose-list'
import { PackFace } from './pack-face'

export interface ChooseProps {
  runIds: readonly string[]
  isOpen: boolean
  onOpenChange: (open: boolean) => void
}

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
          options={runs.map((r) => ({ id: r.runId, label: carInHeat(r) }))}
        />
      )}
      {orphan && (
        <p>
          The run is no longer in the running order. Its pack and tires stay assigned until somebody frees
          them. Importing the heat again brings the run back.
        </p>
      )}
      {view.packs.live.every((p) => p.state?.v === 'retired') && (
        <p>
          No packs in the kit yet. <LinkButton href="/kit/packs">Open the kit</LinkButton>
        </p>
      )}
      {run && (
        <ChooseList
          onChoose={(id) => choose(id, () => onOpenChange(false))}
          items={packsFor(view, all, run).map(({ item: pack, fits, promisedTo }) => ({
            id: pack.id,
            words: `${pack.label ?? ''} ${pack.state?.v ? PACK_STATE_WORDS[pack.state.v] : ''}`,
            says: `${pack.label ?? 'Pack'} for ${run.carName}`,
            isDisabled: !fits,
            face: (
              <PackFace pack={pack} now={now} chosen={run.run?.packId?.v === pack.id}>
                {!fits && (
                  <span>
                    wrong cell count: {pack.cells}, the class runs {run.raceClass?.cells}
                  </span>
                )}
                {promisedTo.map((o) => (
                  <span key={o.runId}>assigned to {carInHeat(o)}</span>
                ))}
              </PackFace>
            ),
          }))}
        />
      )}
    </Dialog>
  )
}
