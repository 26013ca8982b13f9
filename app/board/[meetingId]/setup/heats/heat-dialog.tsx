'use client'
import { useState } from 'react'
import { addHeat, changeHeat, type Heat, type HeatFields } from '@/lib/board'
import type { Refusal } from '@/lib/core/result'
import { hereAs } from '@/lib/core/zone'
import { useAct, useBoard } from '@/app/sync'
import { Button, Dialog, FormField, NumberEntry, RefusalText, SelectField, TimeField } from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'
import { dateInputText, instantFromInputs, timeInputText } from '@/app/words/day-text'

interface Props {
  /** Null: a new one. */
  heat: Heat | null
  isBreak: boolean
  isOpen: boolean
  onOpenChange: (open: boolean) => void
}

/** Round, class, number and planned start of a heat, or name and time of a break. */
export function HeatDialog({ heat, isBreak, isOpen, onOpenChange }: Props) {
  const what = isBreak ? 'break' : 'heat'
  return (
    <Dialog title={heat ? `Change the ${what}` : `New ${what}`} isOpen={isOpen} onOpenChange={onOpenChange}>
      <HeatForm heat={heat} isBreak={isBreak} close={() => onOpenChange(false)} />
    </Dialog>
  )
}

function HeatForm({ heat, isBreak, close }: { heat: Heat | null; isBreak: boolean; close: () => void }) {
  const view = useBoard()
  const act = useAct()
  const last = view.heats.live.findLast((h) => !h.isBreak)
  const { startsAt, zone } = view.meeting.get('meeting') ?? {}
  const firstDay = startsAt === undefined ? undefined : hereAs(startsAt, zone)
  const day = heat?.plannedStart ?? last?.plannedStart ?? firstDay
  const [fields, setFields] = useState({
    roundId: heat ? (heat.roundId ?? null) : (last?.roundId ?? view.rounds.live.at(-1)?.id ?? null),
    classId: heat ? (heat.classId ?? null) : (last?.classId ?? null),
    number: heat ? (heat.number ?? null) : null,
    label: heat?.label ?? '',
    date: day === undefined ? '' : dateInputText(day),
    time: heat?.plannedStart === undefined ? '' : timeInputText(heat.plannedStart),
  })
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  const set = (next: Partial<typeof fields>) => {
    setFields({ ...fields, ...next })
    setRefusal(null)
  }
  const save = () => {
    const plannedStart = instantFromInputs('Planned start', fields.date, fields.time)
    if (!plannedStart.ok) return setRefusal(plannedStart.error)
    const { roundId, classId, number, label } = fields
    const t: HeatFields = { roundId, classId, number, label, isBreak, plannedStart: plannedStart.value }
    const done = act<unknown>(
      (ctx, v) => (heat ? changeHeat(ctx, v, { ...t, heatId: heat.id }) : addHeat(ctx, v, t)),
      heat ? 'Heat changed' : isBreak ? 'Break added' : 'Heat added',
    )
    if (done.ok) close()
    else setRefusal(done.error)
  }
  return (
    <>
      {!isBreak && (
        <>
          <SelectField
            label="Round"
            options={view.rounds.live.map((r) => ({ id: r.id, label: nameOf(r) }))}
            value={fields.roundId}
            onChange={(roundId) => set({ roundId })}
            isRequired
          />
          <SelectField
            label="Class"
            options={view.classes.live.map((c) => ({ id: c.id, label: nameOf(c) }))}
            value={fields.classId}
            none="None"
            onChange={(classId) => set({ classId })}
          />
          <NumberEntry
            label="Heat number"
            value={fields.number}
            min={0}
            max={10000}
            step={1}
            onChange={(number) => set({ number })}
            isRequired
          />
        </>
      )}
      <FormField
        label={isBreak ? 'What for' : 'Label'}
        hint={isBreak ? 'Lunch, track watered.' : 'Only if the heat has a name, as in “A final”.'}
        value={fields.label}
        maxLength={60}
        isRequired={isBreak}
        onChange={(label) => set({ label })}
      />
      <div className="grid gap-4 sm:grid-cols-2">
        <FormField label="Day" type="date" value={fields.date} onChange={(date) => set({ date })} />
        <TimeField
          label="Planned start"
          value={fields.time}
          onChange={(time) => set({ time })}
          onEnter={save}
        />
      </div>
      {refusal && (
        <div className="refusal" role="alert">
          <RefusalText refusal={refusal} />
        </div>
      )}
      <div className="btn-row">
        <Button look="do" onPress={save}>
          {heat ? 'Save' : isBreak ? 'Add the break' : 'Add the heat'}
        </Button>
      </div>
    </>
  )
}
