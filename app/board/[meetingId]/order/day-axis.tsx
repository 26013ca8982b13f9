'use client'
import { Fragment, useState } from 'react'
import type { Heat } from '@/lib/board'
import { dayDuties, heatsInOrder, heatsToCome, meetingDay, type RunInfo } from '@/lib/card'
import { heatLabelBeside } from '@/lib/running-order'
import { plusMinusText, shortDayText, Ticket, TicketHead, timeText } from '../../../ui'
import type { RaceDay } from '../use-race-day'
import { RunRow } from './run-row'

/** Heats before the last two that ran are folded away: the day is read forwards. */
const PAST_SHOWN = 2

/** The day from top to bottom, with a line where now is. Past runs stay short, coming ones carry their facts. */
export function DayAxis({ day, allHeats }: { day: RaceDay; allHeats: boolean }) {
  const heats = heatsInOrder(day.view)
  const byHeat = runsByHeat(day.runs)
  const marshals = dayDuties(day.view, day.now).duties.filter((d) => d.doneBy !== null)
  const rows = heats.filter(
    (h) => allHeats || h.isBreak || byHeat.has(h.id) || marshals.some((d) => d.heatId === h.id),
  )
  const coming = new Set(heatsToCome(heats, day.forecast, day.now))
  const firstComing = rows.findIndex((h) => coming.has(h))
  const [unfolded, setUnfolded] = useState(false)
  const foldable = Math.max(0, (firstComing < 0 ? rows.length : firstComing) - PAST_SHOWN)
  const folded = unfolded ? 0 : foldable
  let round: string | undefined
  return (
    <Ticket label="The day">
      <TicketHead
        title="The day"
        sub={`${day.runs.filter((r) => r.state !== 'finished').length} of the team’s ${day.runs.length} runs still to come. The six marks of a run: assigned, fitted, powered, shod, checked, accepted.`}
      />
      <ol className="axis">
        {foldable > 0 && (
          <li className="no-print">
            <button
              type="button"
              className="btn btn-quiet btn-wide"
              aria-expanded={unfolded}
              onClick={() => setUnfolded(!unfolded)}
            >
              {unfolded ? 'Hide finished heats' : `Show ${foldable} earlier`}
            </button>
          </li>
        )}
        {rows.map((heat, i) => {
          if (i < folded) return null
          const newRound = heat.roundId !== round && !heat.isBreak
          if (!heat.isBreak) round = heat.roundId
          return (
            <Fragment key={heat.id}>
              {newRound && (
                <li className="axis-round">{day.view.rounds.get(heat.roundId)?.name ?? 'Round'}</li>
              )}
              {i === firstComing && <NowLine day={day} />}
              <HeatRow
                day={day}
                heat={heat}
                runs={byHeat.get(heat.id) ?? []}
                duties={marshals.filter((d) => d.heatId === heat.id)}
              />
            </Fragment>
          )
        })}
        {firstComing < 0 && <NowLine day={day} />}
      </ol>
    </Ticket>
  )
}

function runsByHeat(runs: readonly RunInfo[]): Map<string, RunInfo[]> {
  const out = new Map<string, RunInfo[]>()
  for (const run of runs) out.set(run.heat.id, [...(out.get(run.heat.id) ?? []), run])
  return out
}

function NowLine({ day }: { day: RaceDay }) {
  const other = meetingDay(day.view, day.now)
  const minutes = other ? 0 : Math.round(day.forecast.driftS / 60)
  return (
    <li className="axis-now">
      <span>
        now {other && `${shortDayText(day.now)}, `}
        <span className="num">{timeText(day.now)}</span>
      </span>
      {minutes !== 0 && (
        <span>
          <span className="num">{Math.abs(minutes)}</span> min {minutes > 0 ? 'late' : 'early'}
        </span>
      )}
    </li>
  )
}

interface HeatRowProps {
  day: RaceDay
  heat: Heat
  runs: readonly RunInfo[]
  duties: readonly { doneBy: string | null; owedBy: string }[]
}

function HeatRow({ day, heat, runs, duties }: HeatRowProps) {
  const forecast = day.forecast.heats.get(heat.id)
  const startAt = heat.startedAt?.v ?? forecast?.startAt ?? heat.plannedStart
  const spread = heat.startedAt?.v ? '' : plusMinusText(forecast?.plusMinusS ?? 0)
  const next = heatsInOrder(day.view).slice(heatsInOrder(day.view).indexOf(heat) + 1)
  const over = !!heat.finishedAt?.v || next.some((h) => h.startedAt?.v)
  const state = over ? 'ran' : heat.startedAt?.v ? 'on the track' : null
  const className = day.view.classes.get(heat.classId)?.name
  const label = [className, heatLabelBeside({ ...heat, className })].filter(Boolean).join(' · ')
  const names = duties.map((d) =>
    d.doneBy === d.owedBy ? day.nameOf(d.doneBy) : `${day.nameOf(d.doneBy)} for ${day.nameOf(d.owedBy)}`,
  )
  return (
    <li className="axis-heat" data-past={over || heat.startedAt?.v ? '' : undefined}>
      <div className="axis-time">
        <span className="num">{startAt ? timeText(startAt) : '–'}</span>
        <span className="small num">{spread}</span>
      </div>
      <div className="min-w-0">
        <div className="axis-title">
          {heat.isBreak ? (
            <span>{heat.label ?? 'Break'}</span>
          ) : (
            <span>
              Heat {heat.number ?? '?'}{' '}
              <span className="small">{[label, state].filter(Boolean).join(' · ')}</span>
            </span>
          )}
          {names.length > 0 && !over && <span className="small">marshal: {names.join(', ')}</span>}
        </div>
        {runs.map((run) => (
          <RunRow key={run.runId} day={day} run={run} />
        ))}
      </div>
    </li>
  )
}
