import type { Metadata } from 'next'
import { RecordScreen } from '../../record-screen'
import { PackLife } from '../pack-life'
import { PackNow } from '../pack-now'

export const metadata: Metadata = { title: 'Pack' }

export default async function PackPage({ params }: { params: Promise<{ packId: string }> }) {
  const { packId } = await params
  return (
    <RecordScreen slug="packs" recordId={packId}>
      <PackNow packId={packId} />
      <PackLife packId={packId} />
    </RecordScreen>
  )
}
