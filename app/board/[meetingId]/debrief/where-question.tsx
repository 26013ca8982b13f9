'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useState } from 'react'
import { addRemark, canWrite, changeRemark, PHASES, removeRemark, type Remark } from '@/lib/board'
import { remarksOf, trackSketch } from '@/lib/card'
import { PHASE_WORDS, remarkText, STRENGTH_WORDS } from '@/app/words/debrief-words'
import { SavedMark, useAct, useBoard, useEditContext, useSettle, useNameOf } from '@/app/sync'
import { Button, ChoiceField, Link, SelectField } from '@/app/ui'
import type { PartProps } from './part-props'
import { PlacePicture } from './place-picture'

interface Place {
  /** Null: everywhere. */
  piece: number | null
  name: string
}
const EVERYWHERE: Place = { piece: null, name: 'Everywhere' }

/** Where, picked on the track's picture or by its name, and what, in the words of the trade. A word tapped is saved. */
export function WhereQuestion({ run }: PartProps) {
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const meetingId = useMeetingId()
  const nameOf = useNameOf()
  const [place, setPlace] = useState<Place | null>(null)
  const [open, setOpen] = useState<string | null>(null)
  const track = view.tracks.get(view.meeting.get('meeting')?.trackId)
  const segments = track?.segments ?? []
  const sketch = trackSketch(segments)
  const remarks = remarksOf(view, run.runId)
  const may = canWrite(ctx, 'meeting', 'remarks', `${run.runId}.new`, 'said')
  const places: Place[] = [
    ...segments.map((s, piece) => ({
      piece,
      name: s.name ?? `${s.kind === 'corner' ? 'Corner' : 'Straight'} ${piece + 1}`,
    })),
    EVERYWHERE,
  ]
  const say = (wordId: string) => {
    if (!place) return
    const remark: Remark = {
      wordId,
      strength: 2,
      ...(place.piece !== null && { piece: place.piece, place: place.name.slice(0, 60) }),
    }
    const done = addRemark(ctx, view, { runId: run.runId, remark })
    if (settle(done) && done.ok) {
      setOpen(done.value)
      setPlace(null)
    }
  }
  return (
    <section className="grid gap-2" aria-label="Where?">
      <p className="field-label" aria-hidden="true">
        Where?
      </p>
      {sketch && (
        <PlacePicture
          sketch={sketch}
          chosen={place?.piece ?? null}
          marked={new Set(remarks.flatMap((r) => r.said.v.piece ?? []))}
          onChoose={may ? (piece) => setPlace(places[piece] ?? null) : undefined}
        />
      )}
      {segments.length === 0 && (
        <p className="small">
          No track is drawn for this meeting, so a remark is for everywhere.{' '}
          <Link href={`/board/${meetingId}/track`}>Draw the track</Link>
        </p>
      )}
      {may && (
        <SelectField
          label={sketch ? 'Tap the picture, or pick a place' : 'Place'}
          options={places.map((p) => ({ id: String(p.piece), label: p.name }))}
          value={place ? String(place.piece) : null}
          onChange={(id) => setPlace(places.find((p) => String(p.piece) === id) ?? null)}
        />
      )}
      {may && place && (
        <div className="word-list" role="group" aria-label={`What, ${place.name}`}>
          <p className="small">{place.name}: what did it do?</p>
          <div className="choices">
            {view.handlingWords.live.map((w) => (
              <button key={w.id} type="button" className="choice" onClick={() => say(w.id)}>
                {w.name}
              </button>
            ))}
          </div>
        </div>
      )}
      {remarks.length > 0 && (
        <ul className="ruled" aria-label="What the driver felt">
          {remarks.map(({ id, said }) => (
            <li key={id} className="remark">
              <p>
                <b>{remarkText(view, said.v)}</b>{' '}
                <span className="small">
                  {nameOf(said.by)}{' '}
                  <SavedMark
                    doc="meeting"
                    collection="remarks"
                    recordId={id}
                    field={['said', 'phase', 'strength']}
                  />
                </span>
              </p>
              {may && open !== id && (
                <Button look="quiet" onPress={() => setOpen(id)}>
                  Say more
                  <span className="visually-hidden"> on {remarkText(view, said.v)}</span>
                </Button>
              )}
              {may && open === id && <More remarkId={id} remark={said.v} onRemoved={() => setOpen(null)} />}
            </li>
          ))}
        </ul>
      )}
      {!may && remarks.length === 0 && <p className="small">Nothing said yet.</p>}
    </section>
  )
}

/** Which part of the corner, and how strong: both may stay as they are. */
function More({ remarkId, remark, onRemoved }: { remarkId: string; remark: Remark; onRemoved: () => void }) {
  const settle = useSettle()
  const ctx = useEditContext()
  const act = useAct()
  const change = (next: Pick<Parameters<typeof changeRemark>[2], 'phase' | 'strength'>) =>
    void act((by, view) => changeRemark(by, view, { remarkId, ...next }))
  return (
    <div className="grid gap-2">
      {remark.piece !== undefined && (
        <ChoiceField
          label="Part"
          hideLabel
          options={PHASES.map((id) => ({ id, label: PHASE_WORDS[id] }))}
          value={remark.phase ?? null}
          onChange={(id) => change({ phase: PHASES.find((p) => p === id) })}
        />
      )}
      <ChoiceField
        label="How strong"
        hideLabel
        options={[1, 2, 3].map((n) => ({ id: String(n), label: STRENGTH_WORDS[n] ?? '' }))}
        value={String(remark.strength)}
        onChange={(id) => change({ strength: Number(id) })}
      />
      <Button
        look="quiet"
        onPress={() => {
          if (settle(removeRemark(ctx, { remarkId }), 'Remark removed')) onRemoved()
        }}
      >
        Remove
      </Button>
    </div>
  )
}
