'use client'
import { useBoard, useEditContext, useSettle } from '@/app/sync'
import { useState } from 'react'
import { setPackState, type PackState } from '@/lib/board'
import { PACK_STATE_WORDS } from '@/lib/card'
import { Button, Caution, ChoiceField, Dialog, VoltsEntry } from '@/app/ui'

const STATES: readonly PackState[] = ['charging', 'charged', 'storage', 'used', 'resting', 'retired']

/** Say where a pack stands now: one tap, and its voltage if it was read. */
export function PackStateDialog({
  packId,
  isOpen,
  onOpenChange,
}: {
  packId: string
  isOpen: boolean
  onOpenChange: (open: boolean) => void
}) {
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const pack = view.packs.get(packId)
  const [chosen, setChosen] = useState<PackState | null>(null)
  const [volts, setVolts] = useState<number | null>(null)
  const state = chosen ?? pack?.state?.v ?? null
  const save = () => {
    if (!state) return
    const done = setPackState(ctx, {
      packId,
      state,
      restVoltageV: volts ?? undefined,
      chargePercent: state === 'charged' ? 100 : undefined,
    })
    if (settle(done, `${pack?.label ?? 'Pack'} is ${PACK_STATE_WORDS[state]}`)) onOpenChange(false)
  }
  return (
    <Dialog
      title={`${pack?.label ?? 'Pack'}: what state is it in?`}
      isOpen={isOpen}
      onOpenChange={onOpenChange}
      acts={() => (
        <Button look="do" isDisabled={!state} onPress={save}>
          Save
        </Button>
      )}
    >
      <ChoiceField
        label="State"
        value={state}
        onChange={(s) => setChosen(STATES.find((x) => x === s) ?? null)}
        options={STATES.map((s) => ({ id: s, label: PACK_STATE_WORDS[s] }))}
      />
      <VoltsEntry label="Resting voltage, if measured" value={volts} onChange={setVolts} />
      <Caution kind="pack" />
    </Dialog>
  )
}
