'use client'
import { useBoard, useDerived, useEditContext, useSettle } from '@/app/sync'
import { useCallback, useState } from 'react'
import { addRecord, canWrite, changeRecord } from '@/lib/board'
import { nextRunOf, runsNow } from '@/lib/card'
import { TrackEditor } from '@/app/tracks/track-editor'
import { Button, Empty, FormField, LinkButton, SelectField, Ticket, TicketBody, TicketHead } from '@/app/ui'
import { ConditionsPart } from './conditions-part'

/** The track of this meeting: how it is today, and its lap, chosen once, drawn once, driven by every card. */
export function TrackScreen() {
  const view = useBoard()
  const runs = useDerived(runsNow)
  const trackId = view.meeting.get('meeting')?.trackId
  const track = view.tracks.get(trackId)
  const runOf = useCallback((carId: string) => nextRunOf(runs, carId), [runs])
  return (
    <div className="page">
      <div className="page-head">
        <h1>{track && !track.removed ? (track.name ?? 'Track') : 'Track'}</h1>
        {track && <LinkButton href={`/kit/tracks/${track.id}`}>Open it in the kit</LinkButton>}
      </div>
      <ConditionsPart />
      {track && !track.removed && trackId && <TrackEditor key={trackId} trackId={trackId} runOf={runOf} />}
      <ChooseTrack key={`choose ${trackId ?? ''}`} />
    </div>
  )
}

function ChooseTrack() {
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const now = view.meeting.get('meeting')?.trackId ?? null
  const [chosen, setChosen] = useState(now)
  const [name, setName] = useState('')
  const may = canWrite(ctx, 'meeting', 'meeting', 'meeting', 'trackId')
  const mayAdd = canWrite(ctx, 'kit', 'tracks', 'new', 'name')
  const take = (trackId: string) =>
    settle(
      changeRecord(ctx, 'meeting', 'meeting', 'meeting', { trackId }),
      `${view.tracks.get(trackId)?.name ?? 'Track'} is this meeting’s track`,
    )
  const add = () => {
    const made = addRecord(ctx, 'kit', 'tracks', { name: name.trim(), surface: 'clay', grip: 1 })
    if (settle(made) && made.ok && take(made.value)) setName('')
  }
  const tracks = view.tracks.live
  if (!may && !now)
    return (
      <Empty title="No track is chosen yet">
        <p>Once a manager picks the meeting’s track, the cards can project laps, turbo and temperatures.</p>
      </Empty>
    )
  if (!may) return null
  return (
    <Ticket label="Which track">
      <TicketHead
        title={now ? 'Another track' : 'Which track is this meeting on?'}
        sub="every card’s lap is projected on it"
      />
      <TicketBody>
        {tracks.length > 0 && (
          <>
            <SelectField
              label="Track in the kit"
              options={tracks.map((t) => ({ id: t.id, label: t.name ?? t.id }))}
              value={chosen}
              onChange={setChosen}
            />
            <div className="btn-row">
              <Button look="do" isDisabled={!chosen || chosen === now} onPress={() => chosen && take(chosen)}>
                Choose it
              </Button>
            </div>
          </>
        )}
        {mayAdd && (
          <>
            <FormField
              label="Or a new one, named"
              value={name}
              onChange={setName}
              maxLength={60}
              onEnter={() => name.trim() && add()}
            />
            <div className="btn-row">
              <Button isDisabled={!name.trim()} onPress={add}>
                Add and choose
              </Button>
            </div>
          </>
        )}
      </TicketBody>
    </Ticket>
  )
}
