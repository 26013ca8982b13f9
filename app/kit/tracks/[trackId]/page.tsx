import type { Metadata } from 'next'
import { RecordScreen } from '../../record-screen'
import { TrackEditor } from '@/app/tracks/track-editor'

export const metadata: Metadata = { title: 'Track' }

export default async function TrackPage({ params }: { params: Promise<{ trackId: string }> }) {
  const { trackId } = await params
  return (
    <RecordScreen slug="tracks" recordId={trackId}>
      <TrackEditor key={trackId} trackId={trackId} level={1} />
    </RecordScreen>
  )
}
