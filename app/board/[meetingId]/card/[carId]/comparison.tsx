'use client'
import { useState } from 'react'
import { assignValue, canWrite, joinId, parameterOf } from '@/lib/board'
import {
  currentSnapshot,
  diffCards,
  nextRunOf,
  recordSnapshot,
  runName,
  type CardDifference,
  type CardSnapshot,
} from '@/lib/card'
import { Button, ChoiceField, Dialog, SelectField } from '../../../../ui'
import type { RaceDay } from '../../use-race-day'

const show = (value: unknown, unit: string) =>
  value === null ? '–' : `${String(value)}${unit ? ` ${unit}` : ''}`

/** Where this card differs from an earlier run's record or from another car's card; each earlier value is one tap from being asked for again. */
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
  // What nobody said to be in a car is not known, whatever the card asked for.
  const shown = (value: unknown, unit: string) =>
    value === null && side === 'fitted' ? <span className="small">not known</span> : show(value, unit)
  const left = snapshotOf(day, other)
  const now = currentSnapshot(day.view, carId, nextRunOf(day.runs, carId))
  const sameCar = left?.carId === carId
  const rows = left
    ? diffCards(day.view, left, now, side).filter(
        // Another car's pack and tires are its own: that they differ says nothing.
        (d) => sameCar || (d.parameterId !== 'pack' && d.parameterId !== 'tires'),
      )
    : []
  return (
    <Dialog title="Compare" isOpen onOpenChange={(open) => !open && onClose()}>
      <SelectField
        label="With"
        options={options}
        value={other}
        onChange={setOther}
        placeholder="No earlier run or other car yet"
      />
      <ChoiceField
        label="What to compare"
        value={side}
        onChange={(v) => setSide(v === 'assigned' ? 'assigned' : 'fitted')}
        options={[
          { id: 'fitted', label: 'What was fitted' },
          { id: 'assigned', label: 'What was assigned' },
        ]}
      />
      {!left && (
        <p>Nothing to compare with yet. The first record is made when a heat with this car starts.</p>
      )}
      {left && rows.length === 0 && <p>No differences.</p>}
      {left && rows.length > 0 && (
        <div className="table-scroll" tabIndex={0} role="region" aria-label="Differences">
          <table className="data-table">
            <thead>
              <tr>
                <th scope="col">Value</th>
                <th scope="col" className="is-number">
                  {left.name}
                </th>
                <th scope="col" className="is-number">
                  This card now
                </th>
                <th scope="col">
                  <span className="visually-hidden">Act</span>
                </th>
              </tr>
            </thead>
            <tbody>
              {rows.map((d) => (
                <tr key={d.parameterId}>
                  <th scope="row">{d.label}</th>
                  <td className="is-number">{shown(d.was, d.unit)}</td>
                  <td className="is-number">{shown(d.now, d.unit)}</td>
                  <td>
                    <AskAgain day={day} carId={carId} difference={d} from={left.name} />
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
    </Dialog>
  )
}

function AskAgain({
  day,
  carId,
  difference: d,
  from,
}: {
  day: RaceDay
  carId: string
  difference: CardDifference
  from: string
}) {
  const p = parameterOf(day.view, carId, d.parameterId)
  const may = canWrite(day.ctx, 'meeting', 'cardValues', joinId(carId, d.parameterId), 'assigned')
  const value = d.was
  if (!p || value === null || !may) return null
  return (
    <Button
      onPress={() =>
        day.settle(
          assignValue(day.ctx, day.view, { carId, parameterId: p.id, value, why: `as in ${from}` }),
          `${p.label} ${show(value, p.unit)} assigned`,
        )
      }
    >
      Assign {show(value, p.unit)}
    </Button>
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
