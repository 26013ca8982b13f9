import type { ReactNode } from 'react'
import { MeetingFrame } from '@/app/meeting/meeting-frame'

export default async function MeetingLayout({
  params,
  children,
}: {
  params: Promise<{ meetingId: string }>
  children: ReactNode
}) {
  const { meetingId } = await params
  return <MeetingFrame meetingId={meetingId}>{children}</MeetingFrame>
}
