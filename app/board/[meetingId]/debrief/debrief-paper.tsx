'use client'
import type { ReactNode } from 'react'
import { useBoard, useNow, useNameOf, useSession } from '@/app/sync'
import { HOT_PARTS, NEXT_STEPS, temperatureFields, TIRE_LOOKS } from '@/lib/board'
import { DEBRIEF_PARTS, remarksOf, runLaps, runName, trackSketch, type DebriefPartId } from '@/lib/card'
import { figureText } from '@/lib/core/figure-text'
import { settingText } from '@/lib/core/setting-text'
import {
  FEEL_WORDS,
  MARK_WORDS,
  NEXT_WORDS,
  remarkText,
  resultText,
  TIRE_LOOK_WORDS,
} from '@/app/words/debrief-words'
import { shortDayText, timeText } from '@/app/ui'
import type { PartProps } from './part-props'
import { PlacePicture } from './place-picture'

const PART_NAMES = { motor: 'Motor can', controller: 'Speed control', pack: 'Pack' } as const
const LAP_BOXES = 18
/** Lines to write on where nothing is written yet, and one where something is. */
const LINES = 3

/** The debrief for one A5 side, in the order of the screen: what is known is printed, the rest is room to write. */
export function DebriefPaper({ run, order }: PartProps & { order: readonly DebriefPartId[] }) {
  const clock = useNow(10_000)
  const nameOf = useNameOf()
  const me = useSession()
  return (
    <article className="debrief-paper print-only" aria-label={`Debrief of ${run.carName} on paper`}>
      <header>
        <b>{run.carName}</b>
        <span>
          {run.driverName}, {runName(run)}, {timeText(run.startAt ?? 0)}
        </span>
      </header>
      {order.map((id) => {
        const Part = PARTS[id]
        return (
          <section key={id}>
            <h2>{DEBRIEF_PARTS.find((p) => p.id === id)?.name}</h2>
            <Part run={run} />
          </section>
        )
      })}
      <section>
        <h2>Notes</h2>
        <Notes run={run} />
      </section>
      <footer>
        Hot can, hot pack: let them cool. The event’s rules and the makers’ instructions come first. Printed{' '}
        {shortDayText(clock)} {timeText(clock)} by {nameOf(me.personId)}; the board counts, not the paper.
      </footer>
    </article>
  )
}

const box = (isIt: boolean) => (isIt ? '▣' : '▢')
const filled = (value: number | null | undefined, unit: string) =>
  value === null || value === undefined ? `________ ${unit}` : settingText(value, unit)

const Lines = ({ count }: { count: number }) =>
  Array.from({ length: count }, (_, i) => <li key={`line ${i}`} className="debrief-paper-line" />)

function Temperatures({ run }: PartProps) {
  const now = useBoard().runs.get(run.runId)
  return (
    <ul>
      {HOT_PARTS.map((part) => {
        const { value, after } = temperatureFields(part)
        return (
          <li key={part}>
            {PART_NAMES[part]} <b>{filled(now?.[value]?.v, '°C')}</b>,{' '}
            {filled(now?.[after]?.v, 'min after the finish')}
          </li>
        )
      })}
    </ul>
  )
}

function Result({ run }: PartProps) {
  const result = useBoard().runs.get(run.runId)?.result?.v
  return (
    <p>
      {result
        ? resultText(result)
        : 'Laps ______  time __________  best lap ________  place ____  ▢ did not start  ▢ did not finish'}
    </p>
  )
}

function Words({ run }: PartProps) {
  const view = useBoard()
  const now = view.runs.get(run.runId)
  const track = view.tracks.get(view.meeting.get('meeting')?.trackId)
  const sketch = trackSketch(track?.segments ?? [])
  const remarks = remarksOf(view, run.runId)
  return (
    <>
      <p>{[5, 4, 3, 2, 1].map((n) => `${box(now?.feel?.v === n)} ${FEEL_WORDS[n] ?? ''}`).join('   ')}</p>
      <div className="debrief-paper-where">
        {sketch && (
          <PlacePicture
            sketch={sketch}
            chosen={null}
            marked={new Set(remarks.flatMap((r) => r.said.v.piece ?? []))}
          />
        )}
        <ul>
          {remarks.map((r) => (
            <li key={r.id}>{remarkText(view, r.said.v)}</li>
          ))}
          {now?.driverWords?.v && <li>“{now.driverWords.v}”</li>}
          <Lines count={Math.max(0, LINES - remarks.length)} />
        </ul>
      </div>
      <p>{NEXT_STEPS.map((n) => `${box(now?.whatNext?.v === n)} ${NEXT_WORDS[n]}`).join('   ')}</p>
    </>
  )
}

function Charge({ run }: PartProps) {
  const view = useBoard()
  const now = view.runs.get(run.runId)
  return (
    <p>
      Pack {view.packs.get(now?.record?.v?.packId)?.label ?? '____'}, put back{' '}
      <b>{filled(now?.chargeBackMah?.v, 'mAh')}</b>, resting before <b>{filled(now?.restVoltageV?.v, 'V')}</b>
    </p>
  )
}

function Tires({ run }: PartProps) {
  const view = useBoard()
  const now = view.runs.get(run.runId)
  return (
    <p>
      {view.tireSets.get(now?.record?.v?.tireSetId)?.label ?? '____'}:{' '}
      {TIRE_LOOKS.map((l) => `${box(now?.tireLook?.v === l)} ${TIRE_LOOK_WORDS[l]}`).join('  ')}, diameter{' '}
      <b>{filled(now?.tireMm?.v, 'mm')}</b>
    </p>
  )
}

function Laps({ run }: PartProps) {
  const { laps } = runLaps(useBoard(), run.runId)
  return (
    <ol className="debrief-paper-laps">
      {Array.from({ length: Math.max(LAP_BOXES, laps.length) }, (_, i) => {
        const lap = laps[i]
        return (
          <li key={i}>
            <small>{i + 1}</small> {lap && figureText(lap.seconds, { digits: 2 })}
            {lap?.mark && <small> {MARK_WORDS[lap.mark]}</small>}
          </li>
        )
      })}
    </ol>
  )
}

function Notes({ run }: PartProps) {
  const notes = useBoard()
    .notes.live.filter((n) => n.about === `run:${run.runId}` && n.text?.v)
    .sort((a, b) => (b.text?.at ?? 0) - (a.text?.at ?? 0))
  return (
    <ul>
      {notes.map((n) => (
        <li key={n.id}>{n.text?.v}</li>
      ))}
      <Lines count={Math.max(1, LINES - notes.length)} />
    </ul>
  )
}

const PARTS: Readonly<Record<DebriefPartId, (props: PartProps) => ReactNode>> = {
  temperatures: Temperatures,
  result: Result,
  words: Words,
  charge: Charge,
  tires: Tires,
  laps: Laps,
}
