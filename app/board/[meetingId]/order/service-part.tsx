'use client'
import { runsNow, serviceLooseEnds } from '@/lib/card'
import type { Board } from '@/lib/derived'
import { useDerived } from '@/app/sync'
import { LinkButton, LooseEndList, LooseEndRow, Ticket, TicketHead } from '@/app/ui'

const serviceNow = (board: Board) => serviceLooseEnds(board, runsNow(board))

/** Loose ends of the calm kind that no run waits for: services that are due on cars of this day. Nothing where there are none. */
export default function ServicePart() {
  const ends = useDerived(serviceNow)
  if (ends.length === 0) return null
  return (
    <Ticket as="aside" tone="calm" label="Service due">
      <TicketHead title="Service due" sub="when there is time for it" />
      <LooseEndList label="Service due">
        {ends.map((end) => (
          <li key={end.id} data-loose-end={end.id}>
            <LooseEndRow
              bitesAt={null}
              what={end.title}
              why={end.why}
              act={<LinkButton href={`/kit/cars/${end.carId ?? ''}#service`}>Open its service</LinkButton>}
            />
          </li>
        ))}
      </LooseEndList>
    </Ticket>
  )
}
