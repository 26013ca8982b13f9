'use client'
import { Fragment } from 'react'
import type { Heat } from '@/lib/board'
import { dayDuties, heatsInOrder, type RunInfo } from '@/lib/card'
import { plusMinusText, Ticket, TicketHead, timeText } from '../../../ui'
import type { RaceDay } from '../use-race-day'
import { RunRow } from './run-row'

/** The day from top to bottom, with a line where now is. Past runs stay short, coming ones carry their facts. */
export function DayAxis({ day, allHeats }: { day: RaceDay; allHeats: boolean }) {
  const heats = heatsInOrder(day.view)
  const byHeat = runsByHeat(day.runs)
  const marshals = dayDuties(day.view, day.now).duties.filter((d) => d.doneBy !== null)
  const rows = heats.filter(
    (h) => allHeats || h.isBreak || byHeat.has(h.id) || marshals.some((d) => d.heatId === h.id),
  )
  const firstComing = rows.findIndex((h) => !h.startedAt?.v && !h.isBreak)
  let round: string | undefined
  return (
    <Ticket label="The day">
      <TicketHead
        title="The day"
        sub={`${day.runs.filter((r) => r.state !== 'finished').length} of the team’s ${day.runs.length} runs to come`}
      />
      <ol className="axis">
        {rows.map((heat, i) => {
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
  const minutes = Math.round(day.forecast.driftS / 60)
  return (
    <li className="axis-now">
      <span>
        now <span className="num">{timeText(day.now)}</span>
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
  const state = heat.finishedAt?.v ? 'ran' : heat.startedAt?.v ? 'on the track' : null
  const names = duties.map((d) =>
    d.doneBy === d.owedBy ? day.nameOf(d.doneBy) : `${day.nameOf(d.doneBy)} for ${day.nameOf(d.owedBy)}`,
  )
  return (
    <li className="axis-heat" data-past={heat.startedAt?.v ? '' : undefined}>
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
              <span className="small">
                {[day.view.classes.get(heat.classId)?.name, heat.label, state].filter(Boolean).join(' · ')}
              </span>
            </span>
          )}
          {names.length > 0 && !heat.finishedAt?.v && (
            <span className="small">marshal: {names.join(', ')}</span>
          )}
        </div>
        {runs.map((run) => (
          <RunRow key={run.runId} day={day} run={run} />
        ))}
      </div>
    </li>
  )
}
