import type { ReactNode } from 'react'
import { ProjectionRoot } from '@/app/card/projection-context'

export default function CardLayout({ children }: { children: ReactNode }) {
  return <ProjectionRoot>{children}</ProjectionRoot>
}
