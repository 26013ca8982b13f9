import type { Metadata } from 'next'
import { TrackScreen } from './track-screen'

export const metadata: Metadata = { title: 'Track' }

export default function MeetingTrackPage() {
  return <TrackScreen />
}
