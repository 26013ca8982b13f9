import type { Metadata } from 'next'
import { ProjectionRoot } from '@/app/card/projection-context'
import { LearnedScreen } from './learned-screen'

export const metadata: Metadata = { title: 'What the runs taught' }

export default function LearnedPage() {
  return (
    <ProjectionRoot>
      <LearnedScreen />
    </ProjectionRoot>
  )
}
