'use client'
import { useEditContext } from '@/app/sync'
import { Tick } from '@/app/ui'
import { RuledTable } from '@/app/ui/ruled-table'
import type { CardDifference, CopyGroup, CopyRow } from '@/lib/card'
import type { Setting } from '@/lib/board'
import { settingText } from '@/lib/core/setting-text'
import { AssignRows, mayAssign } from './assign-rows'

export type Side = 'fitted' | 'assigned'

interface TableProps {
  carId: string
  /** What the other card is called, as the head of its column. */
  name: string
  /** As the reason on the card; null for what is fitted in the car itself. */
  from: string | null
  groups: readonly CopyGroup[]
  /** Pack and tires, which are a run's and not a card's. */
  things: readonly CardDifference[]
  side: Side
  /** Groups that are not taken. */
  left: ReadonlySet<string>
  onLeave: (group: string, isLeft: boolean) => void
}

/** What differs, group by group in the order of work; each group can be left out of what is taken. */
export function ComparisonTable({ carId, name, from, groups, things, side, left, onLeave }: TableProps) {
  const ctx = useEditContext()
  return (
    <RuledTable label="Differences" head={['Value', { figures: name }, { figures: 'This card now' }]}>
      {groups.map((g) => {
        const count = g.rows.filter((r) => mayAssign(ctx, carId, r)).length
        return (
          <tbody key={g.id}>
            <tr>
              <th scope="rowgroup" colSpan={3}>
                {count > 0 ? (
                  <Tick isSelected={!left.has(g.id)} onChange={(take) => onLeave(g.id, !take)}>
                    {g.name} <span className="num">{count}</span>
                  </Tick>
                ) : (
                  g.name
                )}
              </th>
            </tr>
            {g.rows.map((r) => (
              <tr key={r.parameterId}>
                <th scope="row">{r.label}</th>
                <td className="is-number">
                  {mayAssign(ctx, carId, r) ? (
                    <AssignRows carId={carId} rows={[r]} from={from} />
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
        )
      })}
      {things.length > 0 && (
        <tbody>
          {things.map((d) => (
            <tr key={d.parameterId}>
              <th scope="row">{d.label}</th>
              <td className="is-number">
                <Shown value={d.was} unit="" side={side} />
              </td>
              <td className="is-number">
                <Shown value={d.now} unit="" side={side} />
              </td>
            </tr>
          ))}
        </tbody>
      )}
    </RuledTable>
  )
}

// What nobody said to be in a car is not known, whatever the card asked for.
const Shown = ({ value, unit, side }: { value: Setting | null; unit: string; side: Side }) =>
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
