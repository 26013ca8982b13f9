'use client'
import { useState } from 'react'
import { addEntry, changeEntry, type Entry, type EntryFields } from '@/lib/board'
import type { Refusal } from '@/lib/core/result'
import { useAct, useBoard } from '@/app/sync'
import { Button, Dialog, FormField, NumberEntry, RefusalText, SelectField } from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'

interface Props {
  heatId: string
  /** Null: a new one. */
  entry: Entry | null
  isOpen: boolean
  onOpenChange: (open: boolean) => void
}

/** Who runs in a heat, and which of our cars it is. */
export function EntryDialog({ heatId, entry, isOpen, onOpenChange }: Props) {
  return (
    <Dialog title={entry ? 'Change the entry' : 'New entry'} isOpen={isOpen} onOpenChange={onOpenChange}>
      <EntryForm heatId={heatId} entry={entry} close={() => onOpenChange(false)} />
    </Dialog>
  )
}

function EntryForm({ heatId, entry, close }: { heatId: string; entry: Entry | null; close: () => void }) {
  const view = useBoard()
  const act = useAct()
  const [fields, setFields] = useState<EntryFields>({
    driverName: entry?.driverName ?? '',
    carNumber: entry?.carNumber ?? '',
    transponder: entry?.transponder ?? '',
    gridPosition: entry?.gridPosition ?? null,
    carId: entry?.carId ?? null,
  })
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  const set = (next: Partial<EntryFields>) => {
    setFields({ ...fields, ...next })
    setRefusal(null)
  }
  const drive = view.classes.get(view.heats.get(heatId)?.classId)?.drive
  const cars = view.cars.live.filter((c) => !drive || !c.drive || c.drive === drive || c.id === fields.carId)
  const pickCar = (carId: string | null) => {
    const car = view.cars.get(carId)
    set({
      carId,
      // What the kit knows about the car fills what is still blank.
      driverName: fields.driverName || nameOf(view.people.get(car?.driverId)),
      carNumber: fields.carNumber || (car?.carNumber ?? ''),
      transponder: fields.transponder || (car?.transponder ?? ''),
    })
  }
  const save = () => {
    const done = act<unknown>(
      (ctx, v) =>
        entry
          ? changeEntry(ctx, v, { ...fields, entryId: entry.id })
          : addEntry(ctx, v, { ...fields, heatId }),
      `${fields.driverName} ${entry ? 'changed' : 'added'}`,
    )
    if (done.ok) close()
    else setRefusal(done.error)
  }
  return (
    <>
      <SelectField
        label="Our car"
        options={cars.map((c) => ({
          id: c.id,
          label: nameOf(c),
          detail: nameOf(view.people.get(c.driverId)),
        }))}
        value={fields.carId}
        none="Not one of ours"
        onChange={pickCar}
      />
      <FormField
        label="Driver name"
        value={fields.driverName}
        maxLength={80}
        isRequired
        onChange={(driverName) => set({ driverName })}
        onEnter={save}
      />
      <div className="grid gap-4 sm:grid-cols-3">
        <FormField
          label="Car number"
          value={fields.carNumber}
          maxLength={12}
          onChange={(carNumber) => set({ carNumber })}
          onEnter={save}
        />
        <FormField
          label="Transponder"
          value={fields.transponder}
          maxLength={24}
          inputMode="numeric"
          onChange={(transponder) => set({ transponder })}
          onEnter={save}
        />
        <NumberEntry
          label="Grid position"
          hint="1 to 100"
          value={fields.gridPosition}
          min={1}
          max={100}
          step={1}
          onChange={(gridPosition) => set({ gridPosition })}
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
          {entry ? 'Save' : 'Add the entry'}
        </Button>
      </div>
    </>
  )
}
