'use client'
import { hereAs } from '@/lib/core/zone'
import type { KitRecord } from '@/lib/board'
import { useBoard, useNow, useSession } from '@/app/sync'
import { FirstSteps } from '@/app/first-steps/first-steps'
import { nearness } from '@/app/meeting/meeting-on-now'
import { usePutAway } from '@/app/first-steps/use-first-steps'
import { Link, LinkButton } from '@/app/ui/link'
import { NEW_MEETING } from '@/app/ui/navigation'
import { Empty } from '@/app/ui/panels'
import { Ticket, TicketHead } from '@/app/ui/ticket'
import { shortDayText, timeText } from '@/app/ui/time-text'

type MeetingRow = KitRecord<'meetings'>

/** All meetings, the current one first, and who this device is here. */
export function Home() {
  const view = useBoard()
  const session = useSession()
  const now = useNow(60_000)
  const isManager = session.role === 'manager'
  const [isAway] = usePutAway()
  const meetings = [...view.meetings.live].sort(
    (a, b) => nearness(a, now) - nearness(b, now) || (b.startsAt ?? 0) - (a.startsAt ?? 0),
  )
  const newMeeting = isManager ? (
    <LinkButton href={NEW_MEETING} look={meetings.length ? 'plain' : 'do'}>
      New meeting
    </LinkButton>
  ) : null
  return (
    <div className="page page-narrow">
      <div className="page-head">
        <div>
          <h1>Meetings</h1>
          <p className="small">
            You are {session.name}, {session.role}.
          </p>
        </div>
        {meetings.length > 0 && (
          <div className="btn-row">
            <LinkButton href="/season">Season</LinkButton>
            {newMeeting}
          </div>
        )}
      </div>
      <FirstSteps />
      {meetings.length === 0 && !(isManager && !isAway) ? (
        <Empty
          title="No meeting yet"
          acts={
            isManager ? (
              <>
                <LinkButton href="/kit" look="plain">
                  Enter the kit first
                </LinkButton>
                {newMeeting}
              </>
            ) : null
          }
        >
          {isManager ? (
            <p>
              Enter cars, motors, speed controls and packs in the kit once. Then start a meeting: name, day
              and classes, and paste the organizer’s running order or drop its file. It takes about ten
              minutes.
            </p>
          ) : (
            <p>A manager starts one. It then shows up here on its own.</p>
          )}
        </Empty>
      ) : (
        <ul className="grid grid-cols-1 gap-3">
          {meetings.map((m) => (
            <li key={m.id}>
              <MeetingTicket meeting={m} trackName={view.tracks.get(m.trackId)?.name} now={now} />
            </li>
          ))}
        </ul>
      )}
    </div>
  )
}

function MeetingTicket({
  meeting,
  trackName,
  now,
}: {
  meeting: MeetingRow
  trackName?: string
  now: number
}) {
  const near = nearness(meeting, now)
  return (
    <Ticket as="article" tone={near === 2 ? 'quiet' : 'plain'} label={meeting.name}>
      <TicketHead
        title={
          <Link href={`/board/${meeting.id}`} className="block py-2">
            {meeting.name ?? 'Unnamed meeting'}
          </Link>
        }
        sub={[trackName, near === 0 ? 'on now' : near === 1 ? 'coming' : 'past'].filter(Boolean).join(', ')}
        stub={
          meeting.startsAt ? (
            <>
              <b className="text-xl">{shortDayText(hereAs(meeting.startsAt, meeting.zone))}</b>
              <small>{timeText(hereAs(meeting.startsAt, meeting.zone))}</small>
            </>
          ) : undefined
        }
      />
    </Ticket>
  )
}
