'use client'
import { dayDrift } from '@/lib/card'
import { figureText } from '@/lib/core/figure-text'
import { useDerived } from '@/app/sync'
import { Ticket, TicketBody, TicketHead, timeText } from '@/app/ui'
import { BarPlot } from '@/app/ui/bar-plot'
import { PlotFrame } from '@/app/ui/plot-frame'
import { useRoom } from '@/app/ui/use-room'

const minutes = (s: number) => s / 60
const signed = (s: number) => `${s > 0 ? '+' : ''}${figureText(minutes(s), { digits: 1 })}`

/** How late each heat began: the day's drift as it came about. Nothing before the first stamp. */
export function DriftPart() {
  const bars = useDerived(dayDrift)
  const [frame, room] = useRoom<HTMLDivElement>()
  const last = bars.at(-1)
  if (!last) return null
  const most = bars.reduce((a, b) => (b.lateS > a.lateS ? b : a), last)
  return (
    <Ticket label="How late the heats began">
      <TicketHead title="How late the heats began" sub="by their start stamps, against the plan" />
      <TicketBody>
        <PlotFrame
          title="Minutes late, heat by heat"
          summary={`Last: ${last.name}, ${lateText(last.lateS)}. Latest so far: ${most.name}, ${lateText(most.lateS)}.`}
          table={{
            columns: ['Heat', 'Planned', 'Started', 'Late, min'],
            rows: bars.map((b) => [b.name, timeText(b.plannedAt), timeText(b.startedAt), signed(b.lateS)]),
          }}
        >
          <div ref={frame} className="min-w-0">
            <BarPlot
              room={room}
              height={14 * room.em}
              bars={bars.map((b) => ({
                id: b.heatId,
                name: String(b.number ?? '?'),
                value: minutes(b.lateS),
              }))}
              x={{ title: 'heat' }}
              y={{ title: 'min late (hatched: early)' }}
            />
          </div>
        </PlotFrame>
      </TicketBody>
    </Ticket>
  )
}

const lateText = (s: number) =>
  Math.abs(s) < 30
    ? 'on time'
    : `${figureText(Math.abs(minutes(s)), { digits: 1 })} min ${s > 0 ? 'late' : 'early'}`
