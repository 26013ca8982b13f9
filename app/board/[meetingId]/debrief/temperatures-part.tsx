'use client'
import { runsNow } from '@/lib/card'
import { useBoard, useEditContext, useDerived, useSettle } from '@/app/sync'
import { canWrite, HOT_PARTS, noteTemperature, temperatureFields, type HotPart } from '@/lib/board'
import type { RunInfo } from '@/lib/card'
import { Caution, NumberEntry } from '@/app/ui'
import { ByLine } from './by-line'
import type { PartProps } from './part-props'

/** Where readings begin when the car has none yet, °C. Common practice, no source. */
const PARTS: Readonly<Record<HotPart, { label: string; usual: number }>> = {
  motor: { label: 'Motor can', usual: 70 },
  controller: { label: 'Speed control', usual: 55 },
  pack: { label: 'Pack', usual: 40 },
}

/** Minutes since the finish, whole, 0 before it; null where nobody stamped it. */
const minutesAfterFinish = (run: RunInfo, now: number): number | null => {
  const finishedAt = run.heat.finishedAt?.v
  return finishedAt ? Math.min(240, Math.max(0, Math.round((now - finishedAt) / 60_000))) : null
}

export function TemperaturesPart({ run }: PartProps) {
  return (
    <div className="ticket-body">
      <Caution kind="can">
        Point the thermometer, keep fingers off: can, speed control and pack burn after a run.
      </Caution>
      {HOT_PARTS.map((part) => (
        <OneTemperature key={part} run={run} part={part} />
      ))}
    </div>
  )
}

function OneTemperature({ run, part }: PartProps & { part: HotPart }) {
  const view = useBoard()
  const ctx = useEditContext()
  const runs = useDerived(runsNow)
  const settle = useSettle()
  const { value, after } = temperatureFields(part)
  const { label, usual } = PARTS[part]
  const now = view.runs.get(run.runId)
  const celsius = now?.[value]?.v ?? null
  const afterMin = now?.[after]?.v ?? null
  const may = canWrite(ctx, 'meeting', 'runs', run.runId, value)
  const before = runs.findLast(
    (r) => r.carId === run.carId && r.runId !== run.runId && typeof r.run?.[value]?.v === 'number',
  )
  const middle = 5 * Math.round((before?.run?.[value]?.v ?? usual) / 5)
  const note = (t: { celsius?: number | null; afterMin?: number | null }) =>
    void settle(noteTemperature(ctx, view, { runId: run.runId, part, ...t }))
  const read = (c: number | null) => {
    const min = c === null || afterMin !== null ? null : minutesAfterFinish(run, ctx.clock.now())
    note({ celsius: c, ...(min !== null && { afterMin: min }) })
  }
  return (
    <div className="debrief-line">
      <NumberEntry
        quick
        label={label}
        unit="°C"
        min={-20}
        max={250}
        step={1}
        value={celsius}
        near={[-10, -5, 0, 5, 10].map((d) => middle + d)}
        start={middle}
        isDisabled={!may}
        onChange={read}
      />
      {celsius !== null && (
        <div className="debrief-after">
          <NumberEntry
            quick
            label={`${label}: minutes after the finish`}
            unit="min"
            min={0}
            max={240}
            step={1}
            value={afterMin}
            isDisabled={!may}
            onChange={(min) => note({ afterMin: min })}
          />
        </div>
      )}
      <ByLine runId={run.runId} fields={[value, after]} />
    </div>
  )
}
