'use client'
import { useEditContext, useBoard, useNow, useSettle } from '@/app/sync'
import { useState } from 'react'
import { stampFinish, stampStart, type BoardView } from '@/lib/board'
import { raceSecondsOf, type StampEvent } from '@/lib/card'
import { Button } from '@/app/ui'
import { heatIn, heatInFull } from '@/app/meeting/heat-in-full'
import { StampTimeDialog } from './stamp-time-dialog'

const FIRST = 6

/** Stamps that were never given and are past: each can be entered by its time, none takes the key. */
export function MissingStamps({ missing, may }: { missing: readonly StampEvent[]; may: boolean }) {
  const ctx = useEditContext()
  const view = useBoard()
  const settle = useSettle()
  const now = useNow(5_000)
  const [all, setAll] = useState(false)
  const [entering, setEntering] = useState<StampEvent | null>(null)
  if (missing.length === 0) return null
  const save = ({ kind, heat }: StampEvent, at: number) => {
    const t = { heatId: heat.id, at }
    // What the cars ran with in a heat of the past is not what stands on their cards now: no record is frozen.
    const done = kind === 'start' ? stampStart(ctx, view, { ...t, records: [] }) : stampFinish(ctx, view, t)
    settle(done, `${kind === 'start' ? 'Start' : 'Finish'} of ${heatInFull(view, heat)} entered`)
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
              {heatInFull(view, m.heat)}: no {m.kind}
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
          title={`When did ${heatIn(view, entering.heat)} ${entering.kind}?`}
          label={entering.kind === 'start' ? 'Start' : 'Finish'}
          act={`Enter the ${entering.kind}`}
          at={guess(view, entering, now)}
          note="Enter the time as somebody remembers it. This makes no run record."
          onClose={() => setEntering(null)}
          onSave={(at) => save(entering, at)}
        />
      )}
    </details>
  )
}

/** Where the time begins that is shown first: as planned, or when the race clock ran out. */
function guess(view: BoardView, { kind, heat }: StampEvent, now: number): number {
  const start = heat.startedAt?.v ?? heat.plannedStart ?? now
  return kind === 'start' ? start : start + raceSecondsOf(view, heat) * 1000
}
