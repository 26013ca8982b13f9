import type { Metadata } from 'next'
import { DebriefScreen } from './debrief-screen'

export const metadata: Metadata = { title: 'Debrief' }

export default function DebriefPage() {
  return <DebriefScreen />
}
