'use client'
import { useBoard, useDerived, useNow } from '@/app/sync'
import type { MeetingRecord } from '@/lib/board'
import { channelId, runsNow, carInHeat } from '@/lib/card'
import { DataTable, Tabs, Ticket, TicketHead, timeText } from '@/app/ui'

type Charge = MeetingRecord<'charges'>
const HOUR = 3_600_000
const WIDTH = 1000
const LEFT = 150
const ROW = 44
const TOP = 28

interface Bar {
  charge: Charge
  row: number
  from: number
  to: number
  pack: string
  /** When the run needs it, ms; null when no run waits. */
  neededAt: number | null
  state: 'planned' | 'running' | 'done'
  forWhat: string
}

/** The charger channels as bars over the day, with now, and the moment each pack is needed. The same as a table for who can't see bars. */
export function ChannelBars() {
  const view = useBoard()
  const runs = useDerived(runsNow)
  const channels = view.chargers.live.flatMap((c) =>
    Array.from({ length: c.channels ?? 1 }, (_, i) => ({
      id: channelId(c.id, i + 1),
      label: `${c.label ?? 'Charger'} ${i + 1}`,
    })),
  )
  const bars = view.charges.live.flatMap((charge): Bar[] => {
    const row = channels.findIndex((c) => c.id === channelId(charge.chargerId ?? '', charge.channel ?? 0))
    const from = charge.startedAt?.v ?? charge.plannedStart
    const to = charge.stoppedAt?.v ?? charge.plannedEnd
    const run = runs.find((r) => r.runId === charge.runId)
    if (row < 0 || from === undefined || to === undefined) return []
    return [
      {
        charge,
        row,
        from,
        to: Math.max(to, from + 60_000),
        pack: view.packs.get(charge.packId)?.label ?? '?',
        neededAt: run?.callAt ?? null,
        state: charge.stoppedAt?.v ? 'done' : charge.startedAt?.v ? 'running' : 'planned',
        forWhat: run ? carInHeat(run) : 'no run',
      },
    ]
  })
  const sub = bars.length
    ? `${bars.filter((b) => b.state === 'running').length} on charge, ${bars.filter((b) => b.state === 'planned').length} planned`
    : 'nothing planned yet'
  return (
    <Ticket label="Charger channels">
      <TicketHead title="Channels" sub={sub} />
      <Tabs
        label="Channels as bars or as a table"
        tabs={[
          { id: 'bars', label: 'Bars', content: <Bars channels={channels} bars={bars} /> },
          { id: 'table', label: 'Table', content: <BarTable channels={channels} bars={bars} /> },
        ]}
      />
    </Ticket>
  )
}

function Bars({
  channels,
  bars,
}: {
  channels: readonly { id: string; label: string }[]
  bars: readonly Bar[]
}) {
  const now = useNow(10_000)
  const recent = bars.filter((b) => b.to > now - HOUR)
  const first = Math.min(now - HOUR / 2, ...recent.map((b) => b.from))
  const last = Math.max(now + 3 * HOUR, ...recent.map((b) => Math.max(b.to, b.neededAt ?? 0)))
  const x = (at: number) => LEFT + ((at - first) / (last - first)) * (WIDTH - LEFT - 10)
  const step = last - first > 6 * HOUR ? HOUR : HOUR / 2
  const ticks = Array.from(
    { length: Math.ceil((last - first) / step) },
    (_, i) => (Math.floor(first / step) + 1 + i) * step,
  ).filter((t) => t < last)
  const height = TOP + channels.length * ROW + 6
  return (
    <div className="bars" tabIndex={0} role="region" aria-label="Charges per channel, scrolls sideways">
      <svg
        viewBox={`0 0 ${WIDTH} ${height}`}
        role="img"
        aria-label="Charges per channel over the day; the table tab has the same in words"
      >
        {ticks.map((t) => (
          <g key={t}>
            <line className="grid-line" x1={x(t)} x2={x(t)} y1={TOP - 6} y2={height} />
            <text x={x(t)} y={16} fontSize={15} textAnchor="middle">
              {timeText(t)}
            </text>
          </g>
        ))}
        {channels.map((c, i) => (
          <g key={c.id}>
            <line className="grid-line" x1={0} x2={WIDTH} y1={TOP + (i + 1) * ROW} y2={TOP + (i + 1) * ROW} />
            <text x={0} y={TOP + i * ROW + 28} fontSize={16}>
              {c.label}
            </text>
          </g>
        ))}
        {recent.map((b) => {
          const y = TOP + b.row * ROW + 7
          const late = b.neededAt !== null && b.to > b.neededAt
          const width = Math.max(4, x(b.to) - x(b.from))
          return (
            <g key={b.charge.id}>
              <rect
                className={`bar-${b.state} ${late ? 'bar-late' : ''}`}
                x={x(b.from)}
                y={y}
                width={width}
                height={ROW - 14}
              />
              <text
                className={b.state === 'running' ? 'bar-text-running' : undefined}
                x={x(b.from) + 6}
                y={y + 20}
                fontSize={15}
                fontWeight={700}
              >
                {b.pack}
              </text>
              {b.neededAt !== null && b.state !== 'done' && (
                <line
                  className="deadline"
                  x1={x(b.neededAt)}
                  x2={x(b.neededAt)}
                  y1={y - 3}
                  y2={y + ROW - 11}
                />
              )}
            </g>
          )
        })}
        <line className="now-line" x1={x(now)} x2={x(now)} y1={TOP - 8} y2={height} />
      </svg>
      <p className="small">
        Outlined: planned. Filled: on charge. Pale: done. Short upright line: the call of its run. Line
        through all rows: now.
      </p>
    </div>
  )
}

function BarTable({
  channels,
  bars,
}: {
  channels: readonly { id: string; label: string }[]
  bars: readonly Bar[]
}) {
  const rows = [...bars].sort((a, b) => a.from - b.from).map((b) => ({ ...b, id: b.charge.id }))
  return (
    <DataTable
      label="Charges"
      rows={rows}
      empty="Nothing planned yet. Make a plan, or assign packs by hand in the running order."
      columns={[
        { id: 'pack', label: 'Pack', cell: (r) => <span className="num">{r.pack}</span>, isRowHeader: true },
        { id: 'channel', label: 'Channel', cell: (r) => channels[r.row]?.label },
        { id: 'from', label: 'From', cell: (r) => timeText(r.from), isNumber: true },
        { id: 'to', label: 'To', cell: (r) => timeText(r.to), isNumber: true },
        { id: 'amps', label: 'A', cell: (r) => r.charge.currentA ?? '–', isNumber: true },
        {
          id: 'needed',
          label: 'Needed',
          cell: (r) => (r.neededAt === null ? '–' : timeText(r.neededAt)),
          isNumber: true,
        },
        { id: 'for', label: 'For', cell: (r) => r.forWhat },
        {
          id: 'state',
          label: 'State',
          cell: (r) => ({ planned: 'planned', running: 'on charge', done: 'done' })[r.state],
        },
      ]}
    />
  )
}
