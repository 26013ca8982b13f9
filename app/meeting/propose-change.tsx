'use client'
import { canWrite, proposeValue } from '@/lib/board'
import { figureText, withUnit } from '@/lib/core/figure-text'
import { useBoard, useEditContext, useSettle } from '@/app/sync'
import { Button, LinkButton } from '@/app/ui'
import { useMeetingId } from './use-meeting-id'

/** A proposal's reason is cut to this length. */
const MOST_WHY = 400

/** A change that the board offers: tried in what-if, or proposed to the crew with the reason that stands there. */
export function ProposeChange({
  carId,
  change,
  why,
  look,
  stale = false,
}: {
  carId: string
  change: { parameterId: string; label: string; unit: string; to: number }
  why: string
  look?: 'do'
  /** It is of a card that has changed since. */
  stale?: boolean
}) {
  const meetingId = useMeetingId()
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const { parameterId, to } = change
  const may = canWrite(ctx, 'meeting', 'proposals', 'new', 'value')
  const isOpen = view.proposals.live.some(
    (p) => p.carId === carId && p.parameter === parameterId && p.value?.v === to && !p.outcome?.v,
  )
  const propose = () =>
    settle(
      proposeValue(ctx, { carId, parameterId, value: to, why: why.slice(0, MOST_WHY) }),
      `${change.label} ${withUnit(figureText(to), change.unit)} proposed`,
    )
  return (
    <div className="btn-row">
      <LinkButton
        href={`/board/${meetingId}/what-if/${carId}?try=${encodeURIComponent(`${parameterId}:${to}`)}`}
      >
        Try it
      </LinkButton>
      <Button {...(look && { look })} isDisabled={!may || isOpen || stale} onPress={propose}>
        {isOpen ? 'Proposed' : 'Propose it'}
      </Button>
    </div>
  )
}
