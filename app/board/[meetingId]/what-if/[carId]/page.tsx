import type { Metadata } from 'next'
import { ProjectionRoot } from '@/app/card/projection-context'
import { WhatIfScreen } from './what-if-screen'

export const metadata: Metadata = { title: 'What if' }

export default function WhatIfPage() {
  return (
    <ProjectionRoot>
      <WhatIfScreen />
    </ProjectionRoot>
  )
}
