'use client'
import { useCallback } from 'react'
import { CallsWatch } from '@/app/calls/calls-watch'
import { heatFirst } from '@/app/meeting/heat-in-full'
import { raceSecondsOf, runsNow, stampingOf, type RunInfo } from '@/lib/card'
import { useParams } from 'next/navigation'
import { useDerived, useNow, useSession } from '@/app/sync'
import { Countdown } from '@/app/ui/countdown'
import { timeText } from '@/app/ui/time-text'
import { useLastHeard } from '@/app/sync/last-heard'

/** ms: further off than this a call is a time of day, not a countdown. */
const NEAR_MS = 60 * 60_000

/** Which call concerns whoever looks: the driver's own car, the mechanic's, else the team's next. */
export function nextCallOf(
  runs: readonly RunInfo[],
  personId: string,
  mechanicOf: (run: RunInfo) => string | undefined,
): RunInfo | undefined {
  const coming = runs.filter((r) => (r.state === 'upcoming' || r.state === 'called') && r.callAt !== null)
  return (
    coming.find((r) => r.driverId === personId) ?? coming.find((r) => mechanicOf(r) === personId) ?? coming[0]
  )
}

/** On every screen of a meeting, always in sight: what is on the track, and which call comes next. */
export function TrackBand() {
  // Noted wherever a meeting is open, so that staging can say how old its copy is.
  useLastHeard(useParams<{ meetingId: string }>().meetingId)
  const runs = useDerived(runsNow)
  const now = useNow(10_000)
  const { personId, role } = useSession()
  const running = useDerived((board) => stampingOf(board, board.now(10_000)).running)
  const endsAt = useDerived((board) =>
    running?.startedAt?.v ? running.startedAt.v + raceSecondsOf(board, running) * 1000 : null,
  )
  const heat = useDerived((board) => (running ? heatFirst(board, running) : ''))
  const cars = useDerived((board) => board.cars.all)
  const isMyRun = useCallback(
    (r: RunInfo) =>
      role === 'manager' ||
      r.driverId === personId ||
      (r.run?.mechanicId?.v ?? cars.get(r.carId)?.mechanicId) === personId,
    [role, personId, cars],
  )
  const next = nextCallOf(runs, personId, (r) => r.run?.mechanicId?.v ?? cars.get(r.carId)?.mechanicId)
  const callAt = next?.callAt ?? null
  return (
    <section className="band no-print" aria-label="Track and next call">
      <CallsWatch runs={runs} now={now} isMyRun={isMyRun} />
      <span className="band-now">
        {running ? (
          <>
            {heat} on the track
            {endsAt !== null && (
              <>
                {' '}
                <Countdown to={endsAt} of="race" what="end of the race clock" tenths={false} />
              </>
            )}
          </>
        ) : (
          'Track is empty'
        )}
      </span>
      <span className="band-next">
        {next && callAt !== null ? (
          callAt - now > NEAR_MS ? (
            <>
              {next.carName} called at <span className="num">{timeText(callAt)}</span>
            </>
          ) : (
            <>
              <span className="band-car">{next.carName}</span>{' '}
              {next.state === 'called' ? 'called' : 'called in'}{' '}
              <Countdown to={callAt} of="call" what={`call of ${next.carName}`} tenths={false} />
            </>
          )
        ) : (
          'no call coming up'
        )}
      </span>
    </section>
  )
}
