'use client'
import { useState } from 'react'
import { canWrite, fitValue, joinId, readBackValue, refuseValue, type Setting } from '@/lib/board'
import type { CardRow } from '@/lib/card'
import { Button, ChangeFlash, Dialog, FormField, Menu, SavedMark, timeText, ValueRow } from '../../../../ui'
import type { RaceDay } from '../../use-race-day'
import { ValueDialog, type ValueAct } from './value-dialog'
import { ValueHistory } from './value-history'

const withUnit = (value: Setting | null, unit: string) =>
  value === null ? '' : `${String(value)}${unit ? ` ${unit}` : ''}`

/** One value with who and when, its marks, and what can be done about it. */
export function CardValue({ day, carId, row }: { day: RaceDay; carId: string; row: CardRow }) {
  const [open, setOpen] = useState<ValueAct | 'cannot' | 'history' | null>(null)
  const { parameter: p, assigned, fitted, value } = row
  const recordId = joinId(carId, p.id)
  const target = { carId, parameterId: p.id }
  const mayFit = canWrite(day.ctx, 'meeting', 'cardValues', recordId, 'fitted')
  const mayAssign = canWrite(day.ctx, 'meeting', 'cardValues', recordId, 'assigned')
  const loose = row.state === 'differs' || row.state === 'not-fitted'
  const fit = () =>
    assigned !== null &&
    day.settle(
      fitValue(day.ctx, day.view, { ...target, value: assigned }),
      `${p.label} ${withUnit(assigned, p.unit)} fitted`,
    )
  const readBack = () =>
    fitted !== null &&
    day.settle(readBackValue(day.ctx, day.view, { ...target, value: fitted }), `${p.label} read back`)
  const mark = (field: string | string[]) => (
    <SavedMark doc="meeting" collection="cardValues" recordId={recordId} field={field} />
  )
  const acts = (
    <>
      {loose && mayFit && (
        <Button look="do" onPress={fit}>
          {withUnit(assigned, p.unit)} is fitted
        </Button>
      )}
      {row.state === 'not-read-back' && mayFit && (
        <Button look="do" onPress={readBack}>
          Reads {withUnit(fitted, p.unit)} after power cycle
        </Button>
      )}
      {loose && mayFit && <Button onPress={() => setOpen('cannot')}>Can’t, say why</Button>}
    </>
  )
  const hasActs = (loose || row.state === 'not-read-back') && mayFit
  return (
    <ChangeFlash
      watch={Math.max(value?.assigned?.at ?? 0, value?.fitted?.at ?? 0, value?.readBack?.at ?? 0)}
      by={lastHand(day, row)}
    >
      <ValueRow
        id={p.id}
        name={p.label}
        label={
          <span className="row-menu">
            <Menu
              label={`More about ${p.label}`}
              button={p.label}
              acts={[
                {
                  id: 'assign',
                  label: 'Assign a value',
                  isDisabled: !mayAssign,
                  detail: mayAssign ? undefined : 'crew or the car’s driver',
                  onAct: () => setOpen('assign'),
                },
                {
                  id: 'fit',
                  label: 'Something else is fitted',
                  isDisabled: !mayFit,
                  detail: mayFit ? undefined : 'crew only',
                  onAct: () => setOpen('fit'),
                },
                ...(p.needsReadBack
                  ? [
                      {
                        id: 'read',
                        label: 'It reads something else',
                        isDisabled: !mayFit,
                        onAct: () => setOpen('read-back'),
                      },
                    ]
                  : []),
                { id: 'propose', label: 'Propose a value', onAct: () => setOpen('propose') },
                { id: 'history', label: 'History', onAct: () => setOpen('history') },
              ]}
            />
          </span>
        }
        state={row.state}
        assigned={assigned === null ? null : String(assigned)}
        fitted={fitted === null ? null : String(fitted)}
        unit={p.unit}
        assignedMark={value?.assigned && mark('assigned')}
        fittedMark={value?.fitted && mark(['fitted', 'readBack'])}
        detail={
          <>
            {detail(day, row)}
            {row.cannot && <b className="block">Can’t be fitted: {row.cannot}</b>}
          </>
        }
        acts={hasActs ? acts : undefined}
      />
      {(open === 'assign' || open === 'fit' || open === 'read-back' || open === 'propose') && (
        <ValueDialog day={day} carId={carId} row={row} act={open} onClose={() => setOpen(null)} />
      )}
      {open === 'cannot' && <CannotDialog day={day} carId={carId} row={row} onClose={() => setOpen(null)} />}
      {open === 'history' && (
        <ValueHistory
          day={day}
          recordId={recordId}
          label={p.label}
          unit={p.unit}
          onClose={() => setOpen(null)}
        />
      )}
    </ChangeFlash>
  )
}

/** The one line under a value: the latest word on it. */
function detail(day: RaceDay, { value, state, parameter }: CardRow): string {
  const by = (s: { by: string; at: number } | undefined, what: string) =>
    s ? `${what} ${day.nameOf(s.by)} ${timeText(s.at)}` : ''
  const why = value?.assigned?.why ? `: “${value.assigned.why}”` : ''
  switch (state) {
    case 'equal':
      return parameter.needsReadBack ? by(value?.readBack, 'read back') : by(value?.fitted, 'fitted')
    case 'not-read-back':
      return `${by(value?.fitted, 'dialled in')}, not read back`
    case 'differs':
    case 'not-fitted':
      return `${by(value?.assigned, 'asked by')}${why}`
    case 'unassigned':
      return by(value?.fitted, 'fitted')
    case 'empty':
      return ''
  }
}

/** Somebody else who changed this last; one's own changes need no name. */
function lastHand(day: RaceDay, { value }: CardRow): string | null {
  const stamps = [value?.assigned, value?.fitted, value?.readBack].filter((s) => s !== undefined)
  const last = stamps.sort((a, b) => b.at - a.at)[0]
  return !last || last.by === day.me.personId ? null : day.nameOf(last.by)
}

function CannotDialog({
  day,
  carId,
  row,
  onClose,
}: {
  day: RaceDay
  carId: string
  row: CardRow
  onClose: () => void
}) {
  const [why, setWhy] = useState('')
  const save = () => {
    if (day.settle(refuseValue(day.ctx, day.view, { carId, parameterId: row.parameter.id, why }), 'Said why'))
      onClose()
  }
  return (
    <Dialog
      title={`${row.parameter.label} ${withUnit(row.assigned, row.parameter.unit)} can’t be fitted`}
      isOpen
      onOpenChange={(open) => !open && onClose()}
      acts={() => (
        <Button look="do" isDisabled={!why.trim()} onPress={save}>
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
        hint="It stays on the card until the value changes."
      />
    </Dialog>
  )
}
