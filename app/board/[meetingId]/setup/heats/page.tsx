import type { Metadata } from 'next'
import { HeatsScreen } from './heats-screen'

export const metadata: Metadata = { title: 'Heats and entries' }

export default function HeatsPage() {
  return <HeatsScreen />
}
