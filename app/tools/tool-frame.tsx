import type { ReactNode } from 'react'
import { Note, Ticket, TicketBody, TicketHead } from '@/app/ui'

/** What all tools share: what they ask, what they answer while it is typed, and the worked example with its source. */
export function ToolFrame({
  id,
  title,
  about,
  fields,
  problem,
  isStale,
  children,
  example,
  after,
}: {
  id: string
  title: string
  about: string
  fields: ReactNode
  /** Why there is no answer to what was typed. */
  problem?: ReactNode
  /** The answer is that of the last numbers that could be, not of what stands in the fields. */
  isStale: boolean
  /** The answer. */
  children: ReactNode
  example: ReactNode
  after?: ReactNode
}) {
  return (
    <Ticket as="article" id={id} label={title}>
      <TicketHead title={title} sub={about} level={3} />
      <div className="tool-fields">{fields}</div>
      <div aria-live="polite">
        {problem && <Note tone="hot">{problem}</Note>}
        {isStale && <Note>From the last numbers that made sense.</Note>}
        <div className="tool-answer" data-stale={isStale ? '' : undefined}>
          {children}
        </div>
      </div>
      <TicketBody>
        <details className="tool-example">
          <summary>Worked example</summary>
          {example}
        </details>
        {after}
      </TicketBody>
    </Ticket>
  )
}
