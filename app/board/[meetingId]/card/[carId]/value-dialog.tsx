'use client'
import { useState } from 'react'
import { assignValue, fitValue, proposeValue, readBackValue, type Setting } from '@/lib/board'
import { checkSetting } from '@/lib/board'
import type { CardRow } from '@/lib/card'
import { Button, Caution, Dialog, FormField, NumberEntry } from '../../../../ui'
import type { RaceDay } from '../../use-race-day'

export type ValueAct = 'assign' | 'fit' | 'read-back' | 'propose'

const TITLES: Record<ValueAct, string> = {
  assign: 'Assign',
  fit: 'What is fitted?',
  'read-back': 'What does it read after the power cycle?',
  propose: 'Propose',
}
const DOES: Record<ValueAct, string> = {
  assign: 'Assign it',
  fit: 'It is fitted',
  'read-back': 'It reads this',
  propose: 'Propose it',
}

/** Enter a value of a card: number with its range and step, or text; with a reason where one helps the others. */
export function ValueDialog({
  day,
  carId,
  row,
  act,
  onClose,
}: {
  day: RaceDay
  carId: string
  row: CardRow
  act: ValueAct
  onClose: () => void
}) {
  const p = row.parameter
  const start =
    act === 'assign' || act === 'propose' ? (row.assigned ?? row.fitted) : (row.fitted ?? row.assigned)
  const [value, setValue] = useState<Setting | null>(start)
  const [why, setWhy] = useState('')
  const target = { carId, parameterId: p.id }
  const check = value === null ? null : checkSetting(p, value)
  const withWhy = act === 'assign' || act === 'propose'

  const save = () => {
    if (value === null || !check?.ok) return
    const edit = { ...target, value }
    const reason = why.trim()
    const said = `${p.label} ${String(value)} ${p.unit}`.trim()
    const done =
      act === 'assign'
        ? day.settle(
            assignValue(day.ctx, day.view, { ...edit, why: reason || undefined }),
            `${said} assigned`,
          )
        : act === 'fit'
          ? day.settle(fitValue(day.ctx, day.view, edit), `${said} fitted`)
          : act === 'read-back'
            ? day.settle(readBackValue(day.ctx, day.view, edit), `${said} read back`)
            : day.settle(proposeValue(day.ctx, { ...edit, why: reason }), `${said} proposed`)
    if (done) onClose()
  }
  return (
    <Dialog
      title={`${TITLES[act]}: ${p.label}`}
      isOpen
      onOpenChange={(open) => !open && onClose()}
      acts={() => (
        <Button
          look="do"
          onPress={save}
          isDisabled={value === null || !check?.ok || (act === 'propose' && !why.trim())}
        >
          {DOES[act]}
        </Button>
      )}
    >
      {p.kind === 'number' ? (
        <NumberEntry
          label={p.label}
          value={typeof value === 'number' ? value : null}
          onChange={setValue}
          min={p.min}
          max={p.max}
          step={p.step}
          unit={p.unit}
          stepper
          autoFocus
          onEnter={save}
          refusal={check && !check.ok ? check.error : null}
        />
      ) : (
        <FormField
          label={p.label}
          value={typeof value === 'string' ? value : ''}
          onChange={(v) => setValue(v || null)}
          maxLength={120}
          autoFocus
          onEnter={save}
          refusal={check && !check.ok ? check.error : null}
        />
      )}
      {withWhy && (
        <FormField
          label={act === 'propose' ? 'Why?' : 'Why? (helps who fits it)'}
          value={why}
          onChange={setWhy}
          maxLength={400}
        />
      )}
      {act !== 'assign' && act !== 'propose' && (p.group === 'drive' || p.group === 'control') && (
        <Caution kind={p.group === 'control' ? 'wheels' : 'can'} />
      )}
    </Dialog>
  )
}
