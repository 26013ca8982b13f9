'use client'
import { useBoard } from '@/app/sync'
import { useState } from 'react'
import {
  diffCards,
  lapPairs,
  recordSnapshot,
  runName,
  type DrivenLap,
  type LapPair,
  type StoryRow,
} from '@/lib/card'
import { figureText } from '@/lib/core/figure-text'
import { settingText } from '@/lib/core/setting-text'
import { MARK_WORDS } from '@/app/words/debrief-words'
import { SelectField, Ticket, TicketHead, TicketSection } from '@/app/ui'
import { LinePlot } from '@/app/ui/line-plot'
import { PlotFrame } from '@/app/ui/plot-frame'
import { useRoom } from '@/app/ui/use-room'

/** Any two runs side by side: what differed in the car, and lap by lap. */
export function TwoRuns({ rows }: { rows: readonly StoryRow[] }) {
  const ids = rows.map((r) => r.run.runId)
  const [first, setFirst] = useState<string | null>(null)
  const [second, setSecond] = useState<string | null>(null)
  if (rows.length < 2) return null
  const a = rows.find((r) => r.run.runId === (first ?? ids.at(-2)))
  const b = rows.find((r) => r.run.runId === (second ?? ids.at(-1)))
  const options = rows.map((r) => ({ id: r.run.runId, label: runName(r.run) }))
  return (
    <Ticket id="compare" label="Two runs side by side">
      <TicketHead title="Two runs side by side" />
      <div className="form-grid no-print">
        <SelectField label="A" options={options} value={a?.run.runId ?? null} onChange={setFirst} />
        <SelectField label="B" options={options} value={b?.run.runId ?? null} onChange={setSecond} />
      </div>
      {a && b && (a === b ? <p className="ticket-body">Pick two different runs.</p> : <Sides a={a} b={b} />)}
    </Ticket>
  )
}

function Sides({ a, b }: { a: StoryRow; b: StoryRow }) {
  const view = useBoard()
  const [x, y] = [a.run.run?.record?.v, b.run.run?.record?.v]
  const changes = x && y ? diffCards(view, recordSnapshot(a.run, x), recordSnapshot(b.run, y)) : []
  const pairs = lapPairs(a.laps, b.laps)
  return (
    <>
      <TicketSection title="What differed in the car" aside={<span className="num">{changes.length}</span>} />
      {changes.length === 0 ? (
        <p className="ticket-body small">
          {x && y ? 'Nothing.' : 'One of them has no record of what it ran with.'}
        </p>
      ) : (
        <ul className="ruled">
          {changes.map((c) => (
            <li key={c.parameterId} className="story-difference">
              {c.label}: <span className="num">{settingText(c.was, c.unit)}</span> →{' '}
              <b className="num">{settingText(c.now, c.unit)}</b>
            </li>
          ))}
        </ul>
      )}
      <TicketSection title="Lap by lap" />
      {pairs.length === 0 ? (
        <p className="ticket-body small">Neither has a lap list. Enter or paste it in its debrief.</p>
      ) : (
        <div className="ticket-body">
          <LapChart a={a} b={b} pairs={pairs} />
        </div>
      )}
    </>
  )
}

const lapText = (lap: DrivenLap | null): string =>
  lap ? `${figureText(lap.seconds, { digits: 2 })}${lap.mark ? ` ${MARK_WORDS[lap.mark]}` : ''}` : '–'

const signed = (s: number | null): string =>
  s === null ? '–' : `${s > 0 ? '+' : ''}${figureText(s, { digits: 2 })}`

function LapChart({ a, b, pairs }: { a: StoryRow; b: StoryRow; pairs: readonly LapPair[] }) {
  const [frame, room] = useRoom<HTMLDivElement>()
  const laps = [...a.laps.laps, ...b.laps.laps]
  const seconds = laps.map((l) => l.seconds)
  const [least, most] = [Math.min(...seconds), Math.max(...seconds)]
  const edge = (most - least || 1) * 0.08
  const line = (r: StoryRow) => r.laps.laps.map((l) => [l.lap, l.seconds] as const)
  const mean = (r: StoryRow) => (r.meanS === null ? 'no mean' : `${figureText(r.meanS, { digits: 2 })} s`)
  return (
    <PlotFrame
      title="Lap times"
      summary={`A, dashed: mean ${mean(a)}. B, full line: mean ${mean(b)}. Hollow dots are marked laps.`}
      table={{
        columns: ['Lap', `A, ${runName(a.run)}`, `B, ${runName(b.run)}`, 'B − A', 'Gap'],
        rows: pairs.map((p) => [p.lap, lapText(p.a), lapText(p.b), signed(p.differenceS), signed(p.gapS)]),
      }}
    >
      <div ref={frame} className="min-w-0">
        <LinePlot
          room={room}
          height={15 * room.em}
          x={{ from: 1, to: Math.max(2, ...laps.map((l) => l.lap)), title: 'lap', isWhole: true }}
          y={{ from: least - edge, to: most + edge, title: 's' }}
          lines={[
            { look: 'then', name: 'A', points: line(a) },
            { look: 'now', name: 'B', points: line(b) },
          ]}
          dots={laps.map((l) => ({ x: l.lap, y: l.seconds, isHollow: !!l.mark }))}
        />
      </div>
    </PlotFrame>
  )
}
