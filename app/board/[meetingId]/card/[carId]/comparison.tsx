'use client'
import { useState } from 'react'
import { currentSnapshot, diffCards, recordSnapshot, runName, type CardSnapshot } from '@/lib/card'
import { ChoiceField, DataTable, Dialog, SelectField } from '../../../../ui'
import type { RaceDay } from '../../use-race-day'

const show = (value: unknown, unit: string) =>
  value === null ? '–' : `${String(value)}${unit ? ` ${unit}` : ''}`

/** Where this card differs from an earlier run's record or from another car's card. */
export function Comparison({ day, carId, onClose }: { day: RaceDay; carId: string; onClose: () => void }) {
  const records = day.runs.filter((r) => r.run?.record?.v)
  const own = records.filter((r) => r.carId === carId).reverse()
  const options = [
    ...own.map((r) => ({ id: `run:${r.runId}`, label: runName(r) })),
    ...day.view.cars.live
      .filter((c) => c.id !== carId)
      .map((c) => ({ id: `car:${c.id}`, label: `${c.name ?? 'Car'}, now` })),
    ...records
      .filter((r) => r.carId !== carId)
      .map((r) => ({ id: `run:${r.runId}`, label: `${r.carName}, ${runName(r)}` })),
  ]
  const [other, setOther] = useState<string | null>(options[0]?.id ?? null)
  const [side, setSide] = useState<'fitted' | 'assigned'>('fitted')
  const left = snapshotOf(day, other)
  const differences = left
    ? diffCards(day.view, left, currentSnapshot(day.view, carId, undefined), side).filter(
        (d) => left.packId !== null || (d.parameterId !== 'pack' && d.parameterId !== 'tires'),
      )
    : []
  const rows = differences
    .filter((d) => d.parameterId !== 'pack' && d.parameterId !== 'tires')
    .map((d) => ({ id: d.parameterId, ...d }))
  return (
    <Dialog title="Compare" isOpen onOpenChange={(open) => !open && onClose()}>
      <SelectField
        label="With"
        options={options}
        value={other}
        onChange={setOther}
        placeholder="No earlier run and no other car yet"
      />
      <ChoiceField
        label="Which side counts"
        value={side}
        onChange={(v) => setSide(v === 'assigned' ? 'assigned' : 'fitted')}
        options={[
          { id: 'fitted', label: 'What was in the cars' },
          { id: 'assigned', label: 'What was asked for' },
        ]}
      />
      {left && rows.length === 0 && <p>No difference.</p>}
      {rows.length > 0 && (
        <DataTable
          label="Differences"
          rows={rows}
          columns={[
            { id: 'label', label: 'Value', cell: (r) => r.label, isRowHeader: true },
            { id: 'was', label: left?.name ?? 'Other', cell: (r) => show(r.was, r.unit), isNumber: true },
            { id: 'now', label: 'This card now', cell: (r) => show(r.now, r.unit), isNumber: true },
          ]}
        />
      )}
    </Dialog>
  )
}

function snapshotOf(day: RaceDay, choice: string | null): CardSnapshot | null {
  if (!choice) return null
  const id = choice.slice(4)
  if (choice.startsWith('car:'))
    return { ...currentSnapshot(day.view, id), name: day.view.cars.get(id)?.name ?? 'Other car' }
  const run = day.runs.find((r) => r.runId === id)
  const record = run?.run?.record?.v
  return run && record ? recordSnapshot(run, record) : null
}
