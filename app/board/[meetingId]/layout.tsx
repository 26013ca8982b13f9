import type { ReactNode } from 'react'
import { MeetingFrame } from '@/app/meeting/meeting-frame'
import { TrackBand } from './track-band'

export default async function MeetingLayout({
  params,
  children,
}: {
  params: Promise<{ meetingId: string }>
  children: ReactNode
}) {
  const { meetingId } = await params
  return (
    <MeetingFrame meetingId={meetingId} band={<TrackBand />}>
      {children}
    </MeetingFrame>
  )
}
