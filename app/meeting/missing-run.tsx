'use client'
import type { ReactNode } from 'react'
import { Empty } from '@/app/ui'

/** In the place of a screen about a run that the order does not have (any more). `acts`: where to go instead. */
export function MissingRun({ acts }: { acts: ReactNode }) {
  return (
    <div className="page page-narrow">
      <Empty title="This run is not in the running order" level={1} acts={acts}>
        <p>It was deleted, or the order was imported again.</p>
      </Empty>
    </div>
  )
}
