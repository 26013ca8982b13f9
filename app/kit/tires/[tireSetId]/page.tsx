import type { Metadata } from 'next'
import { RecordScreen } from '../../record-screen'
import { TireLife } from '../tire-life'
import { TireNow } from '../tire-now'

export const metadata: Metadata = { title: 'Tire set' }

export default async function TireSetPage({ params }: { params: Promise<{ tireSetId: string }> }) {
  const { tireSetId } = await params
  return (
    <RecordScreen slug="tires" recordId={tireSetId}>
      <TireNow tireSetId={tireSetId} />
      <TireLife tireSetId={tireSetId} />
    </RecordScreen>
  )
}
