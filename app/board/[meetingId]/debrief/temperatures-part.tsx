'use client'
import { runsNow } from '@/lib/card'
import { useBoard, useEditContext, useDerived, useSettle } from '@/app/sync'
import { canWrite, HOT_PARTS, noteTemperature, temperatureFields, type HotPart } from '@/lib/board'
import type { RunInfo } from '@/lib/card'
import { Caution } from '@/app/ui'
import { ByLine } from './by-line'
import type { PartProps } from './part-props'
import { QuickNumber } from './quick-number'

/** Where readings begin when the car has none yet, °C. Common practice, no source. */
const PARTS: Readonly<Record<HotPart, { label: string; usual: number }>> = {
  motor: { label: 'Motor can', usual: 70 },
  controller: { label: 'Speed control', usual: 55 },
  pack: { label: 'Pack', usual: 40 },
}

/** Minutes since the flag, whole; 0 before it and where nobody stamped it. */
export const minutesAfterFlag = (run: RunInfo, now: number): number => {
  const flag = run.heat.finishedAt?.v
  return flag ? Math.min(240, Math.max(0, Math.round((now - flag) / 60_000))) : 0
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
  const note = (c: number | null, min: number | null) =>
    void settle(noteTemperature(ctx, view, { runId: run.runId, part, celsius: c, afterMin: min }))
  return (
    <div className="debrief-line">
      <QuickNumber
        label={label}
        unit="°C"
        min={-20}
        max={250}
        step={1}
        value={celsius}
        near={[-10, -5, 0, 5, 10].map((d) => middle + d)}
        start={middle}
        isDisabled={!may}
        onCommit={(c) => note(c, c === null ? null : (afterMin ?? minutesAfterFlag(run, ctx.clock.now())))}
      />
      {celsius !== null && (
        <div className="debrief-after">
          <QuickNumber
            label={`${label}: minutes after the flag`}
            unit="min"
            min={0}
            max={240}
            step={1}
            value={afterMin}
            isDisabled={!may}
            onCommit={(min) => note(celsius, min)}
          />
        </div>
      )}
      <ByLine runId={run.runId} fields={[value, after]} />
    </div>
  )
}
