'use client'
import { lazy, Suspense, useRef, useState } from 'react'
import { heatOfRun, type RunInfo } from '@/lib/card'
import { useWhatIfDesk } from '@/app/card/use-what-if-desk'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { Button, LinkButton } from '@/app/ui'
import { LatePart } from '@/app/ui/late-part'
import { loadAhead } from '@/app/ui/load-ahead'
import { CardChecklists } from './card-checklists'
import { CardFollowUps } from './card-follow-ups'
import { CardNotes } from './card-notes'
import { CardProjections, CardTrack } from './card-projections'
import { CardProposals } from './card-proposals'
import { useAnchor } from './use-anchor'

const comparison = loadAhead(() => import('./compare/comparison').then((m) => ({ default: m.Comparison })))
const Comparison = lazy(comparison)

/** Beside the values, on a phone below them: what they do, what they call for, and where else to look. */
export function CardSide({
  carId,
  run,
  last,
}: {
  carId: string
  run: RunInfo | undefined
  last: RunInfo | undefined
}) {
  const meetingId = useMeetingId()
  const [comparing, setComparing] = useState(false)
  const desk = useWhatIfDesk()
  const frame = useRef<HTMLDivElement>(null)
  useAnchor(frame)
  return (
    <>
      <div ref={frame} className="grid grid-cols-1 gap-4 min-w-0 content-start">
        <CardProjections carId={carId} run={run} desk={desk} />
        <CardFollowUps carId={carId} />
        <CardProposals carId={carId} />
        <CardChecklists run={run} last={last} />
        <CardNotes carId={carId} />
        <div className="btn-row">
          <Button onPress={() => setComparing(true)}>Compare or copy a card</Button>
          <LinkButton href={`/board/${meetingId}/what-if/${carId}`}>What if</LinkButton>
          <LinkButton href={`/board/${meetingId}/learned/${carId}`}>What the runs taught</LinkButton>
          {last && (
            <LinkButton href={`/board/${meetingId}/debrief/${last.runId}`}>
              Debrief of {heatOfRun(last)}
            </LinkButton>
          )}
          <LinkButton href={`/board/${meetingId}/story/${carId}`}>Its runs</LinkButton>
          <LinkButton href={`/board/${meetingId}/history?car=${carId}`}>History of this card</LinkButton>
          {run && <LinkButton href={`/board/${meetingId}/staging/${run.runId}`}>Staging</LinkButton>}
          <Button onPress={() => window.print()}>Print</Button>
        </div>
        <CardTrack carId={carId} run={run} desk={desk} />
      </div>
      {comparing && (
        <Suspense fallback={<LatePart part={comparison} onClose={() => setComparing(false)} />}>
          <Comparison carId={carId} onClose={() => setComparing(false)} />
        </Suspense>
      )}
    </>
  )
}
