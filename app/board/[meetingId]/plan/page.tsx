import type { Metadata } from 'next'
import { PlanScreen } from './plan-screen'

export const metadata: Metadata = { title: 'Charge plan' }

export default function PlanPage() {
  return <PlanScreen />
}
