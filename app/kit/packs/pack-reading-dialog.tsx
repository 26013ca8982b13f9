'use client'
import { useState } from 'react'
import { addPackReading, describeField } from '@/lib/board'
import type { Refusal } from '@/lib/core/result'
import { useAct, useBoard, useNow } from '@/app/sync'
import { Button, Caution, Dialog, FormField, NumberEntry } from '@/app/ui'
import { dateInputText, dayFromInput } from '@/app/words/day-text'
import { nameOf } from '@/app/record/ref-options'

const FIELDS = [
  { field: 'resistanceMilliohm', hint: 'Of the whole pack, as the charger or the meter shows it.' },
  { field: 'resistanceAtC', hint: 'Of the pack. Cold packs read higher.' },
  { field: 'capacityMah', hint: 'Of a full charge after a full discharge.' },
  { field: 'loadedVoltageV', hint: 'Of the whole pack, after ten seconds of the load.' },
  { field: 'loadA', hint: 'The same each time, or they can’t be compared.' },
  { field: 'restVoltageV', hint: 'Of the whole pack, before it is charged.' },
  { field: 'storedDays', hint: 'How long it had been stored when you read that.' },
  { field: 'cycles' },
] as const
type Field = (typeof FIELDS)[number]['field']

/** Asks for whatever was read off a pack, and when. */
export function PackReadingDialog({
  packId,
  isOpen,
  onOpenChange,
}: {
  packId: string
  isOpen: boolean
  onOpenChange: (open: boolean) => void
}) {
  return (
    <Dialog title="Add a reading" isOpen={isOpen} onOpenChange={onOpenChange}>
      <NewReading packId={packId} close={() => onOpenChange(false)} />
    </Dialog>
  )
}

function NewReading({ packId, close }: { packId: string; close: () => void }) {
  const act = useAct()
  const now = useNow(60_000)
  const pack = useBoard().packs.get(packId)
  const [day, setDay] = useState<string | null>(null)
  const [values, setValues] = useState<Partial<Record<Field, number>>>({})
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  const today = dateInputText(now)
  const save = () => {
    const taken = dayFromInput('Day', day ?? today)
    if (!taken.ok) return setRefusal(taken.error)
    const done = act(
      (ctx, v) =>
        addPackReading(ctx, v, {
          packId,
          takenAt: (day ?? today) === today ? ctx.clock.now() : taken.value,
          ...values,
        }),
      `${nameOf(pack)}: reading added`,
    )
    if (done.ok) close()
  }
  return (
    <>
      <FormField
        label="Day"
        type="date"
        value={day ?? today}
        onChange={(text) => {
          setRefusal(null)
          setDay(text)
        }}
        isRequired
        refusal={refusal}
      />
      {FIELDS.map(({ field, ...f }) => {
        const face = describeField('kit', 'packReadings', field)
        return (
          <NumberEntry
            key={field}
            label={face.label}
            hint={'hint' in f ? f.hint : undefined}
            value={values[field] ?? null}
            min={face.min}
            max={face.max}
            step={face.step}
            unit={face.unit || undefined}
            onChange={(v) => {
              const { [field]: _, ...rest } = values
              setValues(v === null ? rest : { ...rest, [field]: v })
            }}
            onEnter={save}
          />
        )
      })}
      <Caution kind="pack" />
      <div className="btn-row">
        <Button look="do" onPress={save}>
          Save the reading
        </Button>
      </div>
    </>
  )
}
