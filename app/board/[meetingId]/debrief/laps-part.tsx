'use client'
import { useBoard, useEditContext, useSettle } from '@/app/sync'
import { useState } from 'react'
import { canWrite, joinId, LAP_MARKS, markLap, MOST_LAPS, noteLaps, type LapMark } from '@/lib/board'
import { runLaps, type DrivenLap } from '@/lib/card'
import { figureText } from '@/lib/core/figure-text'
import { parseLaps } from '@/lib/core/parse-laps'
import { MARK_WORDS } from '@/app/words/debrief-words'
import { Button, FormField, RefusalText } from '@/app/ui'
import { ByLine } from './by-line'
import type { PartProps } from './part-props'

const two = (s: number) => figureText(s, { digits: 2 })

/** The laps of a run. A crash or traffic is marked with a tap: the lap stays and no longer counts for the pace. */
export function LapsPart({ run }: PartProps) {
  const view = useBoard()
  const ctx = useEditContext()
  const [typing, setTyping] = useState(false)
  const { laps, clean, bestS } = runLaps(view, run.runId)
  const may = canWrite(ctx, 'meeting', 'runs', run.runId, 'laps')
  return (
    <div className="ticket-body">
      {clean && bestS !== null && (
        <p>
          <span className="num">{clean.count}</span> clean laps of <span className="num">{laps.length}</span>:
          mean <b className="num">{two(clean.meanS)} s</b>, median{' '}
          <span className="num">{two(clean.medianS)} s</span>
          {clean.spreadS !== null && (
            <>
              , spread <span className="num">{two(clean.spreadS)} s</span>
            </>
          )}
          , best <span className="num">{two(bestS)} s</span>
        </p>
      )}
      {laps.length > 0 && (
        <>
          <p className="small">
            Tap a lap to mark it: crash, then traffic (held up by other cars), then none. Marked laps do not
            count.
          </p>
          <ol className="lap-list">
            {laps.map((lap) => (
              <li key={lap.lap}>
                <LapButton run={run} lap={lap} isBest={lap.seconds === bestS} />
              </li>
            ))}
          </ol>
        </>
      )}
      <ByLine runId={run.runId} fields={['laps']} />
      {may && !typing && (
        <Button onPress={() => setTyping(true)}>
          {laps.length ? 'Enter the laps again' : 'Enter the laps'}
        </Button>
      )}
      {typing && <LapsForm run={run} onDone={() => setTyping(false)} />}
    </div>
  )
}

/** What a tap makes of a mark. */
const NEXT_MARK: readonly (LapMark | null)[] = [null, ...LAP_MARKS]

function LapButton({ run, lap, isBest }: PartProps & { lap: DrivenLap; isBest: boolean }) {
  const ctx = useEditContext()
  const settle = useSettle()
  const view = useBoard()
  const may = canWrite(ctx, 'meeting', 'lapMarks', joinId(run.runId, String(lap.lap)), 'mark')
  const next = NEXT_MARK[(NEXT_MARK.indexOf(lap.mark) + 1) % NEXT_MARK.length] ?? null
  return (
    <button
      type="button"
      className="lap"
      data-mark={lap.mark ?? undefined}
      disabled={!may}
      onClick={() => void settle(markLap(ctx, view, { runId: run.runId, lap: lap.lap, mark: next }))}
    >
      <span className="small">
        <span className="visually-hidden">Lap </span>
        {lap.lap}
      </span>{' '}
      <span className="num">{two(lap.seconds)}</span>
      <span className="visually-hidden"> s</span>
      {(lap.mark || isBest) && (
        <span className="small lap-mark">{lap.mark ? MARK_WORDS[lap.mark] : 'best'}</span>
      )}
    </button>
  )
}

function LapsForm({ run, onDone }: PartProps & { onDone: () => void }) {
  const settle = useSettle()
  const ctx = useEditContext()
  const view = useBoard()
  const [text, setText] = useState('')
  const { laps, problems } = parseLaps(text, MOST_LAPS)
  const save = () => {
    const said = `${laps.length} laps of ${run.carName}`
    if (settle(noteLaps(ctx, view, { runId: run.runId, laps }), said)) onDone()
  }
  return (
    <div className="grid gap-3 no-print">
      <FormField
        label="Laps"
        hint="Paste or type them: 22.41 or 1:02.41, separated by spaces or new lines"
        value={text}
        onChange={setText}
        multiline
        maxLength={12_000}
      />
      {problems.length > 0 && (
        <ul className="refusal" role="alert">
          {problems.slice(0, 4).map((p, i) => (
            <li key={i}>
              <RefusalText refusal={p} />
            </li>
          ))}
        </ul>
      )}
      <div className="btn-row">
        <Button look="do" isDisabled={laps.length === 0 || problems.length > 0} onPress={save}>
          Save {laps.length} laps
        </Button>
        <Button look="quiet" onPress={onDone}>
          Cancel
        </Button>
      </div>
    </div>
  )
}
