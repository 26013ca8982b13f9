'use client'
import { Empty, LinkButton } from '@/app/ui'
import { useMeetingId } from './use-meeting-id'

/** In the place of a screen about a car that the kit does not have (any more). */
export function MissingCar() {
  const meetingId = useMeetingId()
  return (
    <div className="page page-narrow">
      <Empty
        title="This car is not in the kit"
        level={1}
        acts={<LinkButton href={`/board/${meetingId}/card`}>All cards</LinkButton>}
      >
        <p>It was removed, or the link belongs to another team.</p>
      </Empty>
    </div>
  )
}
