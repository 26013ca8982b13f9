'use client'
import { useMeetingId } from '../use-meeting-id'
import { runsNow } from '@/lib/card'
import { useBoard, useDerived } from '@/app/sync'
import { LinkButton, timeText } from '@/app/ui'
import { planParts } from './plan-parts'
import { useReplan } from './use-replan'

/** On the running order: a new charge plan was worked out because the old one no longer does, and how much it changes. */
export function PlanNews() {
  const meetingId = useMeetingId()
  const view = useBoard()
  const runs = useDerived(runsNow)
  const { watch, plan, mayTake } = useReplan()
  if (!mayTake || !watch.isTaken || plan.state !== 'answered') return null
  const { outcome } = plan
  if (outcome.kind === 'impossible')
    return (
      <div className="note note-hot" role="status">
        <p>No charge plan covers every coming run anymore.</p>
        <LinkButton href={`/board/${meetingId}/plan`}>See why</LinkButton>
      </div>
    )
  if (outcome.kind !== 'planned') return null
  const parts = planParts(view, runs, outcome.plan, timeText)
  const changes = parts.filter((p) => p.differences.length > 0).length
  if (changes === 0) return null
  return (
    <div className={watch.troubles.length ? 'note note-hot' : 'note'} role="status">
      <p>
        {watch.troubles.length ? 'The charge plan no longer works.' : 'The times moved.'} A new plan is ready,
        with {changes} {changes === 1 ? 'run' : 'runs'} changed.
      </p>
      <LinkButton look="do" href={`/board/${meetingId}/plan`}>
        See the proposal
      </LinkButton>
    </div>
  )
}
