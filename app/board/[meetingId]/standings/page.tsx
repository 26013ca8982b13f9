import type { Metadata } from 'next'
import { StandingsScreen } from './standings-screen'

export const metadata: Metadata = { title: 'Standings' }

export default function StandingsPage() {
  return <StandingsScreen />
}
