import type { Metadata } from 'next'
import { StagingListScreen } from './staging-list-screen'

export const metadata: Metadata = { title: 'Staging' }

export default function StagingPage() {
  return <StagingListScreen />
}
