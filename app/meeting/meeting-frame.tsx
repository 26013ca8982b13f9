'use client'
import { useMemo, type ReactNode } from 'react'
import { isIdText } from '@/lib/core/id'
import { MeetingRoot, useDerived, useSyncPart } from '@/app/sync'
import { Button, LinkButton } from '@/app/ui/button'
import { PLACES } from '@/app/ui/navigation'
import { Empty, Loading, Offline } from '@/app/ui/panels'
import { useWarmPages } from '@/app/offline/use-warm-pages'

/** Opens the meeting's document for the screens below, and says so when there is none. */
export function MeetingFrame({ meetingId, children }: { meetingId: string; children: ReactNode }) {
  if (!isIdText(meetingId)) return <NoSuchMeeting />
  return (
    <MeetingRoot meetingId={meetingId} waiting={<Loading what="Opening the meeting" />}>
      <MeetingContent meetingId={meetingId}>{children}</MeetingContent>
    </MeetingRoot>
  )
}

function MeetingContent({ meetingId, children }: { meetingId: string; children: ReactNode }) {
  const known = useDerived((board) => board.meetings.get(meetingId))
  const cars = useDerived((board) => board.cars.live)
  const hasContent = useSyncPart((s) => s.meeting?.hasContent === true)
  const connection = useSyncPart((s) => s.meeting?.connection)
  const kitConnection = useSyncPart((s) => s.kit?.connection)
  const isKnown = known !== undefined

  const paths = useMemo(
    () =>
      isKnown
        ? [...PLACES.map((p) => p.href(meetingId)), ...cars.map((c) => `/board/${meetingId}/card/${c.id}`)]
        : [],
    [meetingId, cars, isKnown],
  )
  useWarmPages(paths)

  // An address that no meeting has is an empty document, which syncs like any other: only the kit's list tells whether it exists.
  if (known) {
    if (hasContent || (!known.removed && connection === 'live')) return children
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
