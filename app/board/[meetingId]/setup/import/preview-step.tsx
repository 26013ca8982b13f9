'use client'
import { useState } from 'react'
import { heatName } from '@/lib/board'
import type { PlannedHeat } from '@/lib/running-order'
import { useBoard } from '@/app/sync'
import { Button, shortDayText, TicketSection, timeText } from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'
import type { Import } from './use-import'

const FIRST = 6
const STATUS = { new: 'new', same: '', changed: 'changed', returned: 'restored' } as const

/** The heats as the board would list them, each opens to its entries. */
export function PreviewStep({ work }: { work: Import }) {
  const [all, setAll] = useState(false)
  const plan = work.understood.plan
  if (!plan || plan.heats.length === 0) return null
  const entries = plan.heats.reduce((n, h) => n + h.entries.length, 0)
  const shown = all ? plan.heats : plan.heats.slice(0, FIRST)
  const days = plan.heats.map((h) =>
    h.listed.plannedStart === null ? '' : shortDayText(h.listed.plannedStart),
  )
  return (
    <>
      <TicketSection
        title="Preview"
        level={2}
        aside={
          <span className="num">
            {plan.heats.filter((h) => !h.listed.isBreak).length} heats, {entries} entries
          </span>
        }
      />
      <div>
        {shown.map((h, i) => {
          const newDay = days[i] !== '' && days[i] !== days[i - 1]
          return (
            <div key={h.heatId}>
              {newDay && <p className="px-[var(--gutter)] pt-3 font-semibold">{days[i]}</p>}
              <HeatPreview heat={h} />
            </div>
          )
        })}
      </div>
      {shown.length < plan.heats.length && (
        <div className="p-3">
          <Button onPress={() => setAll(true)}>Show all {plan.heats.length}</Button>
        </div>
      )}
    </>
  )
}

function HeatPreview({ heat }: { heat: PlannedHeat }) {
  const view = useBoard()
  const { listed, entries } = heat
  const ours = entries.flatMap((e) => (e.carId ? [nameOf(view.cars.get(e.carId))] : []))
  const time = listed.plannedStart === null ? '--:--' : timeText(listed.plannedStart)
  const face = (
    <>
      <span className="heat-time num">{time}</span>
      <span className="min-w-0">
        {listed.isBreak
          ? listed.label
          : [listed.round, listed.classText, heatName(listed, listed.classText)].filter(Boolean).join(', ')}
        <span className="small block">
          {[
            !listed.isBreak && `${entries.length} entries`,
            ours.length > 0 && `ours: ${ours.join(', ')}`,
            STATUS[heat.status],
            `line ${listed.line}`,
          ]
            .filter(Boolean)
            .join(' · ')}
        </span>
      </span>
    </>
  )
  if (entries.length === 0) return <div className="heat-block heat-line">{face}</div>
  return (
    <details className="heat-block" data-ours={ours.length > 0 ? '' : undefined}>
      <summary>{face}</summary>
      <ul className="entry-rows">
        {entries.map((e) => (
          <li key={e.entryId} data-ours={e.carId ? '' : undefined}>
            <span className="num">{e.listed.gridPosition ?? ''}</span>
            <span>
              {e.listed.driverName}
              {e.carId && <span className="small"> {nameOf(view.cars.get(e.carId))}</span>}
            </span>
            <span className="num small">
              {[e.listed.carNumber, e.listed.transponder].filter(Boolean).join(' · ')}
            </span>
          </li>
        ))}
      </ul>
    </details>
  )
}
