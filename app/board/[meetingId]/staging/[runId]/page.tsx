import type { Metadata } from 'next'
import { StagingScreen } from './staging-screen'

export const metadata: Metadata = { title: 'Staging' }

export default function StagingRunPage() {
  return <StagingScreen />
}
