'use client'
import { useBoard, useNow, useNameOf, useSession } from '@/app/sync'
import { HOT_PARTS, NEXT_STEPS, temperatureFields, TIRE_LOOKS } from '@/lib/board'
import { remarksOf, runLaps, runName, trackSketch } from '@/lib/card'
import { figureText } from '@/lib/core/figure-text'
import { settingText } from '@/lib/core/setting-text'
import { FEEL_WORDS, NEXT_WORDS, remarkText, resultText, TIRE_LOOK_WORDS } from '@/app/words/debrief-words'
import { shortDayText, timeText } from '@/app/ui'
import type { PartProps } from './part-props'
import { PlacePicture } from './place-picture'

const PART_NAMES = { motor: 'Motor can', controller: 'Speed control', pack: 'Pack' } as const
const LAP_BOXES = 18

/** The debrief for one A5 side, in the order of the screen: what is known is printed, the rest is room to write. */
export function DebriefPaper({ run }: PartProps) {
  const view = useBoard()
  const clock = useNow(10_000)
  const nameOf = useNameOf()
  const me = useSession()
  const now = view.runs.get(run.runId)
  const { laps } = runLaps(view, run.runId)
  const track = view.tracks.get(view.meeting.get('meeting')?.trackId)
  const sketch = trackSketch(track?.segments ?? [])
  const remarks = remarksOf(view, run.runId)
  const box = (isIt: boolean) => (isIt ? '▣' : '▢')
  const filled = (value: number | null | undefined, unit: string) =>
    value === null || value === undefined ? `________ ${unit}` : settingText(value, unit)
  return (
    <article className="debrief-paper print-only" aria-label={`Debrief of ${run.carName} on paper`}>
      <header>
        <b>{run.carName}</b>
        <span>
          {run.driverName}, {runName(run)}, {timeText(run.startAt ?? 0)}
        </span>
      </header>
      <h2>Temperatures</h2>
      <ul className="debrief-paper-row">
        {HOT_PARTS.map((part) => {
          const { value, after } = temperatureFields(part)
          return (
            <li key={part}>
              {PART_NAMES[part]} <b>{filled(now?.[value]?.v, '°C')}</b>,{' '}
              {filled(now?.[after]?.v, 'min after the flag')}
            </li>
          )
        })}
      </ul>
      <h2>Result</h2>
      <p>
        {now?.result?.v
          ? resultText(now.result.v)
          : 'Laps ______  time __________  best lap ________  place ____  ▢ did not start  ▢ did not finish'}
      </p>
      <h2>Driver’s words</h2>
      <p>{[5, 4, 3, 2, 1].map((n) => `${box(now?.feel?.v === n)} ${FEEL_WORDS[n] ?? ''}`).join('   ')}</p>
      <div className="debrief-paper-where">
        {sketch && (
          <PlacePicture
            sketch={sketch}
            chosen={null}
            marked={new Set(remarks.flatMap((r) => r.said?.v?.piece ?? []))}
          />
        )}
        <ul>
          {remarks.map((r) => (
            <li key={r.id}>{r.said?.v && remarkText(view, r.said.v)}</li>
          ))}
          {now?.driverWords?.v && <li>“{now.driverWords.v}”</li>}
          {Array.from({ length: Math.max(0, 3 - remarks.length) }, (_, i) => (
            <li key={i} className="debrief-paper-line" />
          ))}
        </ul>
      </div>
      <p>{NEXT_STEPS.map((n) => `${box(now?.whatNext?.v === n)} ${NEXT_WORDS[n]}`).join('   ')}</p>
      <h2>Charge</h2>
      <p>
        Pack {view.packs.get(now?.record?.v?.packId)?.label ?? '____'}, put back{' '}
        <b>{filled(now?.chargeBackMah?.v, 'mAh')}</b>, resting before{' '}
        <b>{filled(now?.restVoltageV?.v, 'V')}</b>
      </p>
      <h2>Tires</h2>
      <p>
        {view.tireSets.get(now?.record?.v?.tireSetId)?.label ?? '____'}:{' '}
        {TIRE_LOOKS.map((l) => `${box(now?.tireLook?.v === l)} ${TIRE_LOOK_WORDS[l]}`).join('  ')}, diameter{' '}
        <b>{filled(now?.tireMm?.v, 'mm')}</b>
      </p>
      <h2>Laps</h2>
      <ol className="debrief-paper-laps">
        {Array.from({ length: Math.max(LAP_BOXES, laps.length) }, (_, i) => (
          <li key={i}>
            <small>{i + 1}</small> {laps[i] ? figureText(laps[i].seconds, { digits: 2 }) : ''}
            {laps[i]?.mark ? ' ×' : ''}
          </li>
        ))}
      </ol>
      <h2>Notes</h2>
      {[0, 1, 2].map((i) => (
        <p key={i} className="debrief-paper-line" />
      ))}
      <footer>
        Hot can, hot pack: let them cool. The event’s rules and the makers’ instructions come first. Printed{' '}
        {shortDayText(clock)} {timeText(clock)} by {nameOf(me.personId)}; the board counts, not the paper.
      </footer>
    </article>
  )
}
