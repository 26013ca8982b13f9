import type { Metadata } from 'next'
import { SeasonScreen } from './season-screen'

export const metadata: Metadata = { title: 'Season' }

export default function SeasonPage() {
  return <SeasonScreen />
}
