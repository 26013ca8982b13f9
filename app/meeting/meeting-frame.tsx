'use client'
import { useMemo, type ReactNode } from 'react'
import { isIdText } from '@/lib/core/id'
import { MeetingRoot, useDerived, useSyncPart } from '@/app/sync'
import { Button } from '@/app/ui/button'
import { LinkButton } from '@/app/ui/link'
import { PLACES } from '@/app/ui/navigation'
import { Empty, Loading, Offline } from '@/app/ui/panels'
import { runsNow } from '@/lib/card'
import { useWarmPages } from '@/app/offline/use-warm-pages'
import { useLongFacts } from './use-long-facts'

export interface MeetingFrameProps {
  meetingId: string
  /** What stands above every screen of the meeting. */
  band: ReactNode
  children: ReactNode
}

/** Opens the meeting's document for the screens below, and says so when there is none. */
export function MeetingFrame({ meetingId, band, children }: MeetingFrameProps) {
  if (!isIdText(meetingId)) return <NoSuchMeeting />
  return (
    <MeetingRoot meetingId={meetingId} waiting={<Loading what="Opening the meeting" />}>
      <MeetingContent meetingId={meetingId} band={band}>
        {children}
      </MeetingContent>
    </MeetingRoot>
  )
}

function MeetingContent({ meetingId, band, children }: MeetingFrameProps) {
  const known = useDerived((board) => board.meetings.get(meetingId))
  const cars = useDerived((board) => board.cars.live)
  // In words, so that the pages are the same ones while no run comes or goes.
  const coming = useDerived((board) =>
    runsNow(board)
      .filter((r) => r.state === 'upcoming' || r.state === 'called')
      .map((r) => r.runId)
      .join(' '),
  )
  const hasContent = useSyncPart((s) => s.meeting?.hasContent === true)
  const connection = useSyncPart((s) => s.meeting?.connection)
  const kitConnection = useSyncPart((s) => s.kit?.connection)
  const isKnown = known !== undefined

  const paths = useMemo(
    () =>
      isKnown
        ? [
            // What the icon on the phone opens, and where that leads.
            '/start',
            `/board/${meetingId}`,
            ...PLACES.map((p) => p.href(meetingId)),
            ...cars.map((c) => `/board/${meetingId}/card/${c.id}`),
            ...coming
              .split(' ')
              .filter(Boolean)
              .map((id) => `/board/${meetingId}/staging/${id}`),
          ]
        : [],
    [meetingId, cars, isKnown, coming],
  )
  useWarmPages(paths)
  useLongFacts()

  // An address that no meeting has is an empty document, which syncs like any other: only the kit's list tells whether it exists.
  if (known) {
    if (hasContent || (!known.removed && connection === 'live'))
      return (
        <>
          {band}
          {children}
        </>
      )
    if (connection !== 'offline') return <Loading what={`Loading ${known.name ?? 'the meeting'}`} />
    return (
      <div className="page page-narrow">
        <Offline
          level={1}
          title="This meeting is not on this phone yet"
          acts={<Button onPress={() => location.reload()}>Try again</Button>}
        >
          <p>It was never opened here. It loads as soon as the server answers.</p>
        </Offline>
      </div>
    )
  }
  if (kitConnection === 'connecting') return <Loading what="Opening the meeting" />
  return <NoSuchMeeting />
}

function NoSuchMeeting() {
  return (
    <div className="page page-narrow">
      <Empty title="No such meeting" level={1} acts={<LinkButton href="/">All meetings</LinkButton>}>
        <p>There is no meeting at this address. It may have been removed, or the link was cut off.</p>
      </Empty>
    </div>
  )
}
