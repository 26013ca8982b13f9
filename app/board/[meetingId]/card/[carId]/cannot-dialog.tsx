'use client'
import { useEditContext, useBoard, useSettle } from '@/app/sync'
import { useState } from 'react'
import { canWrite, joinId, refuseValue } from '@/lib/board'
import type { CardRow } from '@/lib/card'
import { settingText } from '@/lib/core/setting-text'
import { Button, Dialog, FormField } from '@/app/ui'

/** Why an assigned value can't be fitted. It stays on the card, and on top of everybody's loose ends, until the value changes. */
export function CannotDialog({ carId, row, onClose }: { carId: string; row: CardRow; onClose: () => void }) {
  const ctx = useEditContext()
  const view = useBoard()
  const settle = useSettle()
  const [why, setWhy] = useState('')
  const { parameter: p, assigned } = row
  const may = canWrite(ctx, 'meeting', 'cardValues', joinId(carId, p.id), 'cannot')
  const save = () => {
    if (!why.trim()) return
    const done = refuseValue(ctx, view, { carId, parameterId: p.id, why })
    if (settle(done, `${p.label}: can’t be fitted, reason sent`)) onClose()
  }
  const what = `${p.label} ${assigned === null ? '' : settingText(assigned, p.unit)}`
  return (
    <Dialog
      title={`${what.trim()} can’t be fitted`}
      isOpen
      onOpenChange={(open) => !open && onClose()}
      acts={() => (
        <Button look="do" isDisabled={!why.trim() || !may} onPress={save}>
          Tell the others
        </Button>
      )}
    >
      <FormField
        label="Why?"
        value={why}
        onChange={setWhy}
        multiline
        maxLength={400}
        autoFocus
        isDisabled={!may}
        hint={
          may
            ? 'The reason stays on the card until the value changes.'
            : 'A mechanic or a manager can enter this.'
        }
      />
    </Dialog>
  )
}
