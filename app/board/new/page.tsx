import type { Metadata } from 'next'
import { NewMeetingScreen } from '@/app/meetings/new-meeting-screen'

export const metadata: Metadata = { title: 'New meeting' }

export default function NewMeetingPage() {
  return <NewMeetingScreen />
}
