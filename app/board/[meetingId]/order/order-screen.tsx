'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useDerived, useSession } from '@/app/sync'
import { lazy, Suspense, useState } from 'react'
import '@/app/meeting/order.css'
import { dayStateNow, forecastNow, looseEndsNow } from '@/lib/card'
import { clockText } from '@/lib/core/clock-text'
import { dayText, Empty, LinkButton, Tick, timeText } from '@/app/ui'
import { LateLine } from '@/app/ui/late-part'
import { loadAhead } from '@/app/ui/load-ahead'
import { PlanNews } from '@/app/meeting/replan/plan-news'
import { DayAxis } from './day-axis'
import { LooseEnds } from './loose-ends-panel'
import { MyList } from './my-list'
import { StampPanel } from './stamp-panel'

// Nobody waits for it.
const ServicePart = lazy(loadAhead(() => import('./service-part')))
const driftPart = loadAhead(() => import('./drift-part').then((m) => ({ default: m.DriftPart })))
const DriftPart = lazy(driftPart)

/** What is loose, what is on the track, and the team's runs on the day's axis. */
export function OrderScreen() {
  const me = useSession()
  const meetingId = useMeetingId()
  const [onlyMine, setOnlyMine] = useState(false)
  const [allHeats, setAllHeats] = useState(false)
  const ends = useDerived(looseEndsNow)
  const hasHeats = useDerived((board) => board.heats.live.length > 0)
  const name = useDerived((board) => board.meeting.get('meeting')?.name)
  const mine = ends.filter(
    (e) => e.who.personIds.includes(me.personId) || (e.who.personIds.length === 0 && e.who.role === me.role),
  )

  if (!hasHeats)
    return (
      <div className="page page-narrow">
        <h1>Running order</h1>
        <Empty
          title="No heats yet"
          acts={
            <LinkButton look="do" href={`/board/${meetingId}/setup`}>
              Set up the meeting
            </LinkButton>
          }
        >
          <p>
            Paste the organizer’s running order or drop the file here. Heats, team runs and call times all
            come from it.
          </p>
        </Empty>
      </div>
    )
  return (
    <div className="page">
      <header className="page-head">
        <h1>{name ?? 'Running order'}</h1>
        <DayState />
      </header>
      <div className="split split-loose-first">
        <div className="grid gap-4 min-w-0">
          <StampPanel />
          <DayAxis allHeats={allHeats} />
          <div className="flex flex-wrap gap-x-6 no-print">
            <Tick isSelected={allHeats} onChange={setAllHeats}>
              Show every heat, not just the team’s
            </Tick>
          </div>
          {/* Last of its column, so that nothing moves when it comes. */}
          <Suspense fallback={<LateLine part={driftPart} />}>
            <DriftPart />
          </Suspense>
        </div>
        <div className="grid gap-4 min-w-0">
          <PlanNews />
          <LooseEnds
            ends={onlyMine ? mine : ends}
            total={ends.length}
            mine={mine.length}
            onlyMine={onlyMine}
            onOnlyMine={setOnlyMine}
          />
          <Suspense>
            <ServicePart />
          </Suspense>
          <MyList />
        </div>
      </div>
    </div>
  )
}

/** One line: how late the day is, and the gap it has taught so far. */
function DayState() {
  const forecast = useDerived(forecastNow)
  const { driftS, gap } = forecast
  const { other, first } = useDerived(dayStateNow)
  if (other)
    return (
      <p className="day-state">
        {other.when === 'past' ? 'was on' : 'is on'} {dayText(other.at)}
      </p>
    )
  const minutes = Math.round(driftS / 60)
  return (
    <p className="day-state">
      {first !== null ? (
        <>
          first heat at <span className="num">{timeText(first)}</span>
        </>
      ) : minutes === 0 ? (
        'on time'
      ) : (
        <>
          <span className="num">{Math.abs(minutes)} min</span> {minutes > 0 ? 'late' : 'early'}
        </>
      )}
      , <span className="num">{clockText(gap.meanSeconds, 0)}</span>{' '}
      <span className="num small">±{clockText(gap.halfWidthSeconds, 0)}</span> between heats{' '}
      <span className="small">{gap.seen > 0 ? `(from ${gap.seen} so far)` : '(as planned)'}</span>
    </p>
  )
}
