'use client'
import { useMemo, useState } from 'react'
import { changeRecord } from '@/lib/board'
import { trackSketch, type RunInfo } from '@/lib/card'
import { useAct, useBoard, useMay, SavedMark } from '@/app/sync'
import { Button, Note, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { GripFit } from './grip-fit'
import { PieceRows } from './piece-rows'
import { PlanTicket } from './plan-ticket'
import { MOST_PIECES, useTrackDraft } from './use-track-draft'
import { WalkedDialog } from './walked-dialog'
import './track.css'

/** The lap by its straights and corners, drawn as it is typed, and fitted to a measured lap. */
export function TrackEditor({
  trackId,
  level = 2,
  runOf,
}: {
  trackId: string
  /** 1 where the page has no heading of its own. */
  level?: 1 | 2
  runOf?: (carId: string) => RunInfo | undefined
}) {
  const view = useBoard()
  const act = useAct()
  const track = view.tracks.get(trackId)
  const may = useMay('kit', 'tracks', trackId, 'segments')
  const draft = useTrackDraft(track?.segments ?? [])
  const [walking, setWalking] = useState(false)
  const [current, setCurrent] = useState<number | null>(null)
  // What can't be drawn or driven leaves the last that could standing, marked.
  const [good, setGood] = useState(draft.segments)
  if (draft.segments !== null && JSON.stringify(draft.segments) !== JSON.stringify(good))
    setGood(draft.segments)
  const isStale = draft.segments === null
  const sketch = useMemo(() => (good ? trackSketch(good) : null), [good])
  const save = () => {
    const { segments } = draft
    if (!segments) return
    const done = act(
      (ctx) => changeRecord(ctx, 'kit', 'tracks', trackId, { segments }),
      `${track?.name ?? 'Track'} saved, ${segments.length} pieces`,
    )
    if (done.ok) draft.settle()
  }
  if (!track) return null
  return (
    <div className="track-split">
      <Ticket label="The lap, piece by piece">
        <TicketHead
          level={level}
          title={track.name ?? 'Track'}
          sub={
            draft.isTouched ? (
              'not saved yet'
            ) : (
              <>
                {draft.drafts.length} pieces in driving order{' '}
                <SavedMark doc="kit" collection="tracks" recordId={trackId} field="segments" />
              </>
            )
          }
        />
        {draft.changedElsewhere && draft.isTouched && (
          <Note tone="hot">
            Somebody else saved this track in the meantime. Saving here overwrites it. “Back to saved” loads
            theirs.
          </Note>
        )}
        {draft.drafts.length === 0 && (
          <p className="ticket-body">
            Nothing drawn yet. Walk the racing line and write it down, or add pieces one by one: a length for
            a straight, a radius and an angle for a corner.
          </p>
        )}
        <PieceRows draft={draft} may={may} onCurrent={setCurrent} />
        <TicketBody>
          <div className="btn-row">
            <Button
              isDisabled={!may || draft.drafts.length >= MOST_PIECES}
              onPress={() => draft.add('straight')}
            >
              Add a straight
            </Button>
            <Button
              isDisabled={!may || draft.drafts.length >= MOST_PIECES}
              onPress={() => draft.add('corner')}
            >
              Add a corner
            </Button>
            <Button isDisabled={!may} onPress={() => setWalking(true)}>
              From a walked lap
            </Button>
          </div>
          <div className="btn-row">
            <Button look="do" isDisabled={!may || !draft.isTouched || isStale} onPress={save}>
              Save the track
            </Button>
            <Button isDisabled={!draft.isTouched} onPress={draft.reset}>
              Back to saved
            </Button>
          </div>
          {!may && <p className="small">A mechanic or a manager draws the track.</p>}
        </TicketBody>
      </Ticket>
      <div className="grid grid-cols-1 gap-4 min-w-0 content-start">
        <PlanTicket sketch={sketch} segments={good ?? []} isStale={isStale} current={current} />
        <GripFit trackId={trackId} segments={good} isStale={isStale} runOf={runOf} />
      </div>
      {walking && <WalkedDialog onTake={draft.replace} onClose={() => setWalking(false)} />}
    </div>
  )
}
