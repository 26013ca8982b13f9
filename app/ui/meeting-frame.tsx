'use client'
import { useMemo, type ReactNode } from 'react'
import { isIdText } from '@/lib/core/id'
import { MeetingRoot, useBoard, useSyncSnapshot } from '../sync'
import { Button, LinkButton } from './button'
import { PLACES } from './navigation'
import { Empty, Loading, Offline } from './panels'
import { useWarmPages } from './shell/use-warm-pages'

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
  const view = useBoard()
  const { kit, meeting } = useSyncSnapshot()
  const known = view.meetings.get(meetingId)
  const isKnown = known !== undefined
  const { cars } = view

  const paths = useMemo(
    () =>
      isKnown
        ? [
            ...PLACES.map((p) => p.href(meetingId)),
            ...cars.live.map((c) => `/board/${meetingId}/card/${c.id}`),
          ]
        : [],
    [meetingId, cars, isKnown],
  )
  useWarmPages(paths)

  // An address that no meeting has is an empty document, which syncs like any other: only the kit's list tells whether it exists.
  if (known) {
    if (meeting?.hasContent || (!known.removed && meeting?.connection === 'live')) return children
    if (meeting?.connection !== 'offline') return <Loading what={`Fetching ${known.name ?? 'the meeting'}`} />
    return (
      <div className="page page-narrow">
        <Offline
          level={1}
          title="This meeting is not on this phone yet"
          acts={<Button onPress={() => location.reload()}>Try again</Button>}
        >
          <p>It was never opened here. It comes by itself as soon as the server answers.</p>
        </Offline>
      </div>
    )
  }
  if (kit?.connection === 'connecting') return <Loading what="Opening the meeting" />
  return <NoSuchMeeting />
}

function NoSuchMeeting() {
  return (
    <div className="page page-narrow">
      <Empty title="No such meeting" level={1} acts={<LinkButton href="/">All meetings</LinkButton>}>
        <p>
          The board knows no meeting under this address. It may have been removed, or the link is cut short.
        </p>
      </Empty>
    </div>
  )
}
