import type { Metadata } from 'next'
import { LabelsScreen } from './labels-screen'

export const metadata: Metadata = { title: 'Labels' }

export default function LabelsPage() {
  return <LabelsScreen />
}
