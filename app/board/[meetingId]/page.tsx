import { redirect } from 'next/navigation'

/** A meeting opens with its running order. */
export default async function MeetingPage({ params }: { params: Promise<{ meetingId: string }> }) {
  const { meetingId } = await params
  redirect(`/board/${meetingId}/order`)
}
