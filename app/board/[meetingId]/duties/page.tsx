import type { Metadata } from 'next'
import { DutiesScreen } from './duties-screen'

export const metadata: Metadata = { title: 'Duties' }

export default function DutiesPage() {
  return <DutiesScreen />
}
