import type { Metadata } from 'next'
import { DebriefListScreen } from './debrief-list-screen'

export const metadata: Metadata = { title: 'After the run' }

export default function DebriefListPage() {
  return <DebriefListScreen />
}
