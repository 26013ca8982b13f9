'use client'
import { useBoard } from '@/app/sync'
import { useCallback, useState } from 'react'
import { diffCards, lapPairs, recordSnapshot, runName, type DrivenLap, type StoryRow } from '@/lib/card'
import { figureText } from '@/lib/core/figure-text'
import { settingText } from '@/lib/core/setting-text'
import { MARK_WORDS } from '@/app/words/debrief-words'
import { Chart, SelectField, Ticket, TicketHead, TicketSection, type ChartProps } from '@/app/ui'

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
  const [nameA, nameB] = [runName(a.run), runName(b.run)]
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
          <LapChart a={a} b={b} />
          <div
            className="table-scroll"
            tabIndex={0}
            role="region"
            aria-label={`${nameA} and ${nameB}, lap by lap`}
          >
            <table className="data-table">
              <thead>
                <tr>
                  <th scope="col">Lap</th>
                  <th scope="col" className="is-number">
                    A, {nameA}
                  </th>
                  <th scope="col" className="is-number">
                    B, {nameB}
                  </th>
                  <th scope="col" className="is-number">
                    B − A
                  </th>
                  <th scope="col" className="is-number">
                    Gap
                  </th>
                </tr>
              </thead>
              <tbody>
                {pairs.map((p) => (
                  <tr key={p.lap}>
                    <th scope="row">{p.lap}</th>
                    <LapCell lap={p.a} />
                    <LapCell lap={p.b} />
                    <td className="is-number">{signed(p.differenceS)}</td>
                    <td className="is-number">{signed(p.gapS)}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </div>
        </div>
      )}
    </>
  )
}

const LapCell = ({ lap }: { lap: DrivenLap | null }) => (
  <td className="is-number">
    {lap ? figureText(lap.seconds, { digits: 2 }) : '–'}
    {lap?.mark && <span className="small block">{MARK_WORDS[lap.mark]}</span>}
  </td>
)

const signed = (s: number | null): string =>
  s === null ? '–' : `${s > 0 ? '+' : ''}${figureText(s, { digits: 2 })}`

function LapChart({ a, b }: { a: StoryRow; b: StoryRow }) {
  const draw = useCallback<ChartProps['draw']>(
    (plot) => {
      const data = [
        ...a.laps.laps.map((l) => ({ ...l, run: 'A' })),
        ...b.laps.laps.map((l) => ({ ...l, run: 'B' })),
      ]
      const of = (run: string) => data.filter((d) => d.run === run)
      return {
        height: 200,
        marginLeft: 44,
        x: {
          label: 'lap',
          ticks: Math.min(14, Math.max(a.laps.laps.length, b.laps.laps.length)),
          tickFormat: 'd',
        },
        y: { label: 's', grid: true },
        marks: [
          plot.lineY(of('A'), { x: 'lap', y: 'seconds', stroke: 'var(--soft)', strokeDasharray: '5 3' }),
          plot.lineY(of('B'), { x: 'lap', y: 'seconds', stroke: 'currentColor' }),
          plot.dot(data, {
            x: 'lap',
            y: 'seconds',
            r: 3,
            fill: (d: DrivenLap) => (d.mark ? 'var(--sheet)' : 'currentColor'),
            stroke: 'currentColor',
          }),
          plot.text(
            [of('A').at(-1), of('B').at(-1)].flatMap((d) => d ?? []),
            { x: 'lap', y: 'seconds', text: 'run', dx: 12, fontWeight: 'bold' },
          ),
        ],
      }
    },
    [a, b],
  )
  const mean = (r: StoryRow) => (r.meanS === null ? 'no mean' : `${figureText(r.meanS, { digits: 2 })} s`)
  return (
    <Chart
      title="Lap times"
      summary={`A, dashed: mean ${mean(a)}. B, full line: mean ${mean(b)}. Hollow dots are marked laps.`}
      draw={draw}
      table={{
        columns: ['Lap', 'A, s', 'B, s'],
        rows: lapPairs(a.laps, b.laps).map((p) => [p.lap, p.a?.seconds ?? null, p.b?.seconds ?? null]),
      }}
    />
  )
}
