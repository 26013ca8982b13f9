'use client'
import type { KitRecord } from '@/lib/board'
import { useBoard, useNow, useSession } from '@/app/sync'
import { FirstSteps } from '@/app/first-steps/first-steps'
import { usePutAway } from '@/app/first-steps/use-first-steps'
import { Link, LinkButton } from '@/app/ui/button'
import { NEW_MEETING } from '@/app/ui/navigation'
import { Empty } from '@/app/ui/panels'
import { Ticket, TicketHead } from '@/app/ui/ticket'
import { shortDayText } from '@/app/ui/time-text'

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
        {meetings.length > 0 && newMeeting}
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

const DAY = 86_400_000
/** 0 for a meeting that runs now (a weekend has up to three days), 1 for coming, 2 for past ones. */
const nearness = (m: MeetingRow, now: number): number => {
  const start = m.startsAt ?? 0
  if (now >= start - DAY / 2 && now < start + 3 * DAY) return 0
  return start > now ? 1 : 2
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
          <Link href={`/board/${meeting.id}/order`} className="block py-2">
            {meeting.name ?? 'Unnamed meeting'}
          </Link>
        }
        sub={[trackName, near === 0 ? 'on now' : near === 1 ? 'coming' : 'past'].filter(Boolean).join(', ')}
        stub={
          meeting.startsAt ? (
            <>
              <small>from</small>
              <b className="text-xl">{shortDayText(meeting.startsAt)}</b>
            </>
          ) : undefined
        }
      />
    </Ticket>
  )
}
