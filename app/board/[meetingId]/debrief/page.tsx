import type { Metadata } from 'next'
import { DebriefListScreen } from './debrief-list-screen'

export const metadata: Metadata = { title: 'Debrief' }

export default function DebriefListPage() {
  return <DebriefListScreen />
}
