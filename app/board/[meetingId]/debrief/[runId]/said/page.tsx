import type { Metadata } from 'next'
import { SaidScreen } from './said-screen'

export const metadata: Metadata = { title: 'How it ran' }

export default function SaidPage() {
  return <SaidScreen />
}
