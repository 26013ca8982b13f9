import type { Metadata } from 'next'
import { MeetingScreen } from './meeting-screen'

export const metadata: Metadata = { title: 'Meeting setup' }

export default function SetupPage() {
  return <MeetingScreen />
}
