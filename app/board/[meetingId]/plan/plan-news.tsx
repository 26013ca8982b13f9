'use client'
import { LinkButton, timeText } from '../../../ui'
import type { RaceDay } from '../use-race-day'
import { planParts } from './plan-parts'
import { useReplan } from './use-replan'

/** On the running order: a new charge plan was worked out because the old one no longer does, and how much it changes. */
export function PlanNews({ day }: { day: RaceDay }) {
  const { watch, plan, mayTake } = useReplan(day)
  if (!mayTake || !watch.isTaken || plan.state !== 'answered') return null
  const { outcome } = plan
  if (outcome.kind === 'impossible')
    return (
      <div className="note note-hot" role="status">
        <p>No charge plan covers every coming run anymore.</p>
        <LinkButton href={`/board/${day.meetingId}/plan`}>See why</LinkButton>
      </div>
    )
  if (outcome.kind !== 'planned') return null
  const parts = planParts(day.view, day.runs, outcome.plan, timeText)
  const changes = parts.filter((p) => p.differences.length > 0).length
  if (changes === 0) return null
  return (
    <div className={watch.troubles.length ? 'note note-hot' : 'note'} role="status">
      <p>
        {watch.troubles.length ? 'The charge plan no longer works.' : 'The times moved.'} A new plan is ready,
        with {changes} {changes === 1 ? 'run' : 'runs'} changed.
      </p>
      <LinkButton look="do" href={`/board/${day.meetingId}/plan`}>
        See the proposal
      </LinkButton>
    </div>
  )
}
