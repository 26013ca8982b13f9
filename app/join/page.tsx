import type { Metadata } from 'next'
import { JoinScreen } from './join-screen'

export const metadata: Metadata = { title: 'Join' }

export default function JoinPage() {
  return <JoinScreen />
}
