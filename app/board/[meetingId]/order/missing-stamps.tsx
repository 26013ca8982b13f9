'use client'
import { useState } from 'react'
import { stampFinish, stampStart } from '@/lib/board'
import { raceSecondsOf, type StampEvent } from '@/lib/card'
import { Button } from '../../../ui'
import type { RaceDay } from '../use-race-day'
import { heatName } from './heat-name'
import { StampTimeDialog } from './stamp-time-dialog'

const FIRST = 6

/** Stamps that were never given and are past: each can be entered by its time, none takes the key. */
export function MissingStamps({
  day,
  missing,
  may,
}: {
  day: RaceDay
  missing: readonly StampEvent[]
  may: boolean
}) {
  const [all, setAll] = useState(false)
  const [entering, setEntering] = useState<StampEvent | null>(null)
  if (missing.length === 0) return null
  const save = ({ kind, heat }: StampEvent, at: number) => {
    const t = { heatId: heat.id, at }
    // What the cars ran with in a heat of the past is not what stands on their cards now: no record is frozen.
    const done =
      kind === 'start'
        ? stampStart(day.ctx, day.view, { ...t, records: [] })
        : stampFinish(day.ctx, day.view, t)
    day.settle(done, `${kind === 'start' ? 'Start' : 'Finish'} of ${heatName(day, heat)} entered`)
  }
  return (
    <details className="missing-stamps no-print">
      <summary>
        Missing stamps <span className="num">{missing.length}</span>
      </summary>
      <ul className="ruled" aria-label="Missing stamps">
        {(all ? missing : missing.slice(0, FIRST)).map((m) => (
          <li key={`${m.heat.id}${m.kind}`} className="missing-stamp">
            <span>
              {heatName(day, m.heat)}: no {m.kind}
            </span>
            {may && <Button onPress={() => setEntering(m)}>Enter the time</Button>}
          </li>
        ))}
      </ul>
      {missing.length > FIRST && !all && (
        <Button look="quiet" wide onPress={() => setAll(true)}>
          Show {missing.length - FIRST} more
        </Button>
      )}
      {entering && (
        <StampTimeDialog
          title={`When did heat ${entering.heat.number ?? ''} ${entering.kind}?`}
          label={entering.kind === 'start' ? 'Start' : 'Finish'}
          act={`Enter the ${entering.kind}`}
          at={guess(day, entering)}
          note="Enter the time as somebody remembers it. This makes no run record."
          onClose={() => setEntering(null)}
          onSave={(at) => save(entering, at)}
        />
      )}
    </details>
  )
}

/** Where the time begins that is shown first: as planned, or when the race clock ran out. */
function guess(day: RaceDay, { kind, heat }: StampEvent): number {
  const start = heat.startedAt?.v ?? heat.plannedStart ?? day.now
  return kind === 'start' ? start : start + raceSecondsOf(day.view, heat) * 1000
}
