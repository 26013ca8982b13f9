'use client'
import { useDerived, useBoard, useSettle, useEditContext } from '@/app/sync'
import { useState } from 'react'
import { assignSeveral, canWrite, joinId, type BoardView, type EditContext, type Setting } from '@/lib/board'
import {
  cardCopy,
  currentSnapshot,
  diffCards,
  nextRunOf,
  recordSnapshot,
  runName,
  type CardDifference,
  type CardSnapshot,
  type CopyRow,
  type RunInfo,
  runsNow,
} from '@/lib/card'
import { settingText } from '@/lib/core/setting-text'
import { Button, ChoiceField, Dialog, SelectField } from '@/app/ui'

/**
 * Where this card differs from an earlier run's record, from another car's card, or from what is in the car; each value there is one tap from
 * being asked for here, and so is a group of them, and all.
 */
export function Comparison({ carId, onClose }: { carId: string; onClose: () => void }) {
  const runs = useDerived(runsNow)
  const view = useBoard()
  const ctx = useEditContext()
  const records = runs.filter((r) => r.run?.record?.v)
  const own = records.filter((r) => r.carId === carId).reverse()
  const options = [
    ...own.map((r) => ({ id: `run:${r.runId}`, label: runName(r) })),
    { id: IN_CAR, label: 'What is fitted in this car now' },
    ...view.cars.live
      .filter((c) => c.id !== carId)
      .map((c) => ({ id: `car:${c.id}`, label: `${c.name ?? 'Car'}, now` })),
    ...records
      .filter((r) => r.carId !== carId)
      .map((r) => ({ id: `run:${r.runId}`, label: `${r.carName}, ${runName(r)}` })),
  ]
  const [other, setOther] = useState<string | null>(options[0]?.id ?? null)
  const [chosen, setSide] = useState<'fitted' | 'assigned'>('fitted')
  const isInCar = other === IN_CAR
  const side = isInCar ? 'fitted' : chosen
  const left = isInCar
    ? { ...currentSnapshot(view, carId), name: 'Fitted now' }
    : snapshotOf(view, runs, other)
  const now = currentSnapshot(view, carId, nextRunOf(runs, carId))
  const groups = left ? cardCopy(view, left, now, side) : []
  // Another car's pack and tires are its own: that they differ says nothing.
  const things =
    left?.carId === carId && !isInCar
      ? diffCards(view, left, now, side).filter((d) => d.parameterId === 'pack' || d.parameterId === 'tires')
      : []
  const count = groups.reduce((n, g) => n + g.rows.length, things.length)
  return (
    <Dialog title="Compare" isOpen onOpenChange={(open) => !open && onClose()}>
      <SelectField label="With" options={options} value={other} onChange={setOther} />
      {!isInCar && (
        <ChoiceField
          label="What to compare"
          value={side}
          onChange={(v) => setSide(v === 'assigned' ? 'assigned' : 'fitted')}
          options={[
            { id: 'fitted', label: 'What was fitted' },
            { id: 'assigned', label: 'What was assigned' },
          ]}
        />
      )}
      {left && count === 0 && <p>No differences.</p>}
      {left && count > 0 && (
        <>
          <AssignRows carId={carId} rows={groups.flatMap((g) => g.rows)} from={left.name} all />
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
                </tr>
              </thead>
              {groups.map((g) => (
                <tbody key={g.id}>
                  <tr>
                    <th scope="rowgroup" colSpan={3} className="small">
                      <span className="flex items-center justify-between gap-2">
                        {g.name}
                        {g.rows.length > 1 && (
                          <AssignRows carId={carId} rows={g.rows} from={left.name} group={g.name} />
                        )}
                      </span>
                    </th>
                  </tr>
                  {g.rows.map((r) => (
                    <tr key={r.parameterId}>
                      <th scope="row">{r.label}</th>
                      <td className="is-number">
                        {mayAssign(ctx, carId, r) ? (
                          <AssignRows carId={carId} rows={[r]} from={left.name} />
                        ) : (
                          <Shown value={r.there} unit={r.unit} side={side} />
                        )}
                        {r.problem && <span className="small block">{r.problem}</span>}
                      </td>
                      <td className="is-number">
                        <Here row={r} />
                      </td>
                    </tr>
                  ))}
                </tbody>
              ))}
              {things.length > 0 && (
                <tbody>
                  {things.map((d) => (
                    <ThingRow key={d.parameterId} difference={d} side={side} />
                  ))}
                </tbody>
              )}
            </table>
          </div>
        </>
      )}
    </Dialog>
  )
}

const IN_CAR = 'now:fitted'

// What nobody said to be in a car is not known, whatever the card asked for.
const Shown = ({
  value,
  unit,
  side,
}: {
  value: Setting | null
  unit: string
  side: 'fitted' | 'assigned'
}) =>
  value === null && side === 'fitted' ? <span className="small">not known</span> : settingText(value, unit)

/** What is asked for and what is in, where they are not the same. */
function Here({ row: r }: { row: CopyRow }) {
  if (r.assigned === r.fitted) return settingText(r.assigned, r.unit)
  return (
    <>
      {r.assigned !== null && (
        <span className="block whitespace-nowrap">
          {settingText(r.assigned, r.unit)} <span className="small">assigned</span>
        </span>
      )}
      {r.fitted !== null && (
        <span className="block whitespace-nowrap">
          {settingText(r.fitted, r.unit)} <span className="small">fitted</span>
        </span>
      )}
    </>
  )
}

const ThingRow = ({ difference: d, side }: { difference: CardDifference; side: 'fitted' | 'assigned' }) => (
  <tr>
    <th scope="row">{d.label}</th>
    <td className="is-number">
      <Shown value={d.was} unit="" side={side} />
    </td>
    <td className="is-number">
      <Shown value={d.now} unit="" side={side} />
    </td>
  </tr>
)

const mayAssign = (ctx: EditContext, carId: string, r: CopyRow): boolean =>
  r.canAssign && canWrite(ctx, 'meeting', 'cardValues', joinId(carId, r.parameterId), 'assigned')

interface AssignProps {
  carId: string
  rows: readonly CopyRow[]
  /** Where the values come from, for the reason on the card. */
  from: string
  group?: string
  all?: boolean
}

/** One value, a group of them, or all: one edit, and so one undo. */
function AssignRows({ carId, rows, from, group, all = false }: AssignProps) {
  const settle = useSettle()
  const ctx = useEditContext()
  const view = useBoard()
  const values = rows
    .filter((r) => mayAssign(ctx, carId, r))
    .flatMap((r) => (r.there === null ? [] : [{ ...r, value: r.there }]))
  const [only] = values
  if (!only || (values.length === 1 && (all || group !== undefined))) return null
  const said =
    values.length === 1
      ? `${only.label} ${settingText(only.value, only.unit)} assigned`
      : `${values.length} values assigned as ${from === 'Fitted now' ? 'they are fitted now' : `in ${from}`}`
  const assign = () =>
    settle(
      assignSeveral(ctx, view, {
        carId,
        values: values.map(({ parameterId, value }) => ({ parameterId, value })),
        why: from === 'Fitted now' ? 'as fitted now' : `as in ${from}`,
      }),
      said,
    )
  return (
    <Button
      look={all ? 'do' : 'plain'}
      wide={all}
      aria-label={group ? `Assign ${values.length} of ${group}` : undefined}
      onPress={assign}
    >
      {all
        ? `Assign all ${values.length} differences`
        : group
          ? `Assign these ${values.length}`
          : `Assign ${settingText(only.value, only.unit).replaceAll(' ', '\u00A0')}`}
    </Button>
  )
}

function snapshotOf(view: BoardView, runs: readonly RunInfo[], choice: string | null): CardSnapshot | null {
  if (!choice) return null
  const id = choice.slice(4)
  if (choice.startsWith('car:'))
    return { ...currentSnapshot(view, id), name: view.cars.get(id)?.name ?? 'Other car' }
  const run = runs.find((r) => r.runId === id)
  const record = run?.run?.record?.v
  return run && record ? recordSnapshot(run, record) : null
}
