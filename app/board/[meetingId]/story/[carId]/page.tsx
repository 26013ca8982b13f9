import type { Metadata } from 'next'
import { StoryScreen } from './story-screen'

export const metadata: Metadata = { title: 'A car’s story' }

export default function StoryPage() {
  return <StoryScreen />
}
