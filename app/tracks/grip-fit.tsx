'use client'
import { useEffect, useMemo, useState } from 'react'
import { changeRecord, type TrackSegment } from '@/lib/board'
import { figureText } from '@/lib/core/figure-text'
import { inSpeedUnit } from '@/lib/core/speed-unit'
import { projectionBasis, type RunInfo, type Trial } from '@/lib/card'
import { useWhatIfDesk } from '@/app/card/use-what-if-desk'
import { useAct, useBoard, useMay } from '@/app/sync'
import {
  Button,
  Figure,
  Figures,
  Note,
  NumberEntry,
  RefusalText,
  SelectField,
  Ticket,
  TicketBody,
  TicketHead,
  useSpeedUnit,
} from '@/app/ui'
import { ThreadNote } from '@/app/threads/thread-note'
import { useAsked } from '@/app/threads/use-desk'

/** Common practice, no source: a gearing to begin with where no card says one. */
const GEARS = { pinion: 22, spur: 80 }

/**
 * A car's lap on the track as it is drawn now, and the grip that a measured lap says. Inside a meeting the car's own card is driven; in the kit
 * there is no card, so its gears are asked for.
 */
export function GripFit({
  trackId,
  segments,
  isStale,
  runOf,
}: {
  trackId: string
  /** The last drawing that could be driven. */
  segments: readonly TrackSegment[] | null
  isStale: boolean
  runOf?: (carId: string) => RunInfo | undefined
}) {
  const view = useBoard()
  const speeds = useSpeedUnit()
  const act = useAct()
  const desk = useWhatIfDesk()
  const state = useAsked(desk, 'track')
  const track = view.tracks.get(trackId)
  const may = useMay('kit', 'tracks', trackId, 'grip')
  const [carId, setCarId] = useState(view.cars.live[0]?.id ?? null)
  const [gears, setGears] = useState<Trial>(GEARS)
  const [measured, setMeasured] = useState<number | null>(track?.measuredLapS ?? null)
  const [fits, setFits] = useState(true)

  const own = useMemo(
    () => (carId ? projectionBasis(view, carId, runOf?.(carId)) : null),
    [view, carId, runOf],
  )
  const hasGears = !!own && ['pinion', 'spur'].every((id) => own.inputs.some((i) => i.id === id))
  const basis = useMemo(() => {
    if (!carId) return null
    const b = hasGears ? own : projectionBasis(view, carId, undefined, gears)
    // This track's own grip, and the drawing as it stands: not the meeting's.
    const inputs = b.inputs.map((i) =>
      i.id === 'grip' && track?.grip !== undefined
        ? { ...i, value: track.grip, source: 'track' as const }
        : i,
    )
    return { ...b, inputs, segments: segments?.length ? segments : null }
  }, [view, carId, own, hasGears, gears, segments, track?.grip])
  useEffect(() => {
    if (basis && !isStale)
      desk.ask('track', { basis, measuredLapS: measured }, JSON.stringify([basis, measured]))
  }, [desk, basis, measured, isStale])

  const { answer } = state
  const stale = isStale || state.stale || !fits
  const fit = answer?.fit
  const take = () => {
    if (!fit || typeof fit === 'string' || measured === null) return
    const grip = Number(fit.grip.toFixed(3))
    act(
      (ctx) => changeRecord(ctx, 'kit', 'tracks', trackId, { grip, measuredLapS: measured }),
      `Grip ${grip.toFixed(2)} from a lap of ${measured.toFixed(2)} s`,
    )
  }
  if (view.cars.live.length === 0) return null
  return (
    <Ticket label="Lap and grip" id="grip">
      <TicketHead
        title="Lap and grip"
        sub={stale ? 'from the last drawing that could be driven' : 'projected for the track as drawn now'}
      />
      {answer?.problem && (
        <Note tone="hot">
          {typeof answer.problem === 'string' ? answer.problem : <RefusalText refusal={answer.problem} />}
        </Note>
      )}
      {state.failed && <ThreadNote why={state.failed} retry={state.retry} />}
      <TicketBody>
        <SelectField
          label="Car"
          options={view.cars.live.map((c) => ({ id: c.id, label: c.name ?? 'Car' }))}
          value={carId}
          onChange={setCarId}
        />
        {!hasGears && (
          <div className="piece-fields">
            {(['pinion', 'spur'] as const).map((id) => (
              <NumberEntry
                key={id}
                label={id === 'pinion' ? 'Pinion' : 'Spur'}
                value={typeof gears[id] === 'number' ? gears[id] : null}
                onChange={(v) => v !== null && setGears((g) => ({ ...g, [id]: v }))}
                min={id === 'pinion' ? 8 : 30}
                max={id === 'pinion' ? 60 : 140}
                step={1}
                unit="t"
                hint={
                  view.hasMeeting ? undefined : 'Open the track from a meeting to use the car’s own card.'
                }
              />
            ))}
          </div>
        )}
        <NumberEntry
          label="Measured flying lap"
          value={measured}
          onChange={setMeasured}
          onFits={setFits}
          min={3}
          max={300}
          unit="s"
          hint="A clean lap of this car, from timing or video."
        />
      </TicketBody>
      <Figures label="Lap on this track">
        <Figure
          label="Projected lap"
          value={answer?.lapS?.toFixed(2) ?? null}
          unit="s"
          missing="appears once the track is drawn"
        />
        <Figure
          label="Top speed"
          value={
            answer?.topMps == null ? null : figureText(inSpeedUnit(answer.topMps, speeds), { digits: 1 })
          }
          unit={speeds}
          missing="–"
        />
        <Figure
          label="Grip from the measured lap"
          value={fit && typeof fit !== 'string' ? fit.grip.toFixed(3) : null}
          missing={typeof fit === 'string' ? `none: ${fit}` : 'needs a measured lap'}
        />
      </Figures>
      <TicketBody>
        <div className="btn-row">
          <Button look="do" isDisabled={!may || stale || !fit || typeof fit === 'string'} onPress={take}>
            Apply as the track’s grip
          </Button>
        </div>
        <p className="small">
          {track?.grip === undefined ? 'The track has no grip yet.' : `The track’s grip is ${track.grip}.`}{' '}
          This grip also covers bumps, jumps and the driver. It is the grip that was used, not what the
          surface has.
          {!may && ' A mechanic or a manager applies it.'}
        </p>
      </TicketBody>
    </Ticket>
  )
}
