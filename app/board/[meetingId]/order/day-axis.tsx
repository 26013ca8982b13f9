'use client'
import { Fragment, memo, useDeferredValue, useState } from 'react'
import { useDerived, useNameOf, useNow } from '@/app/sync'
import { dayHeatsNow, dayStateNow, forecastNow, runsNow, type DayHeat } from '@/lib/card'
import type { Board } from '@/lib/derived'
import { heatNameFirst } from '@/lib/board'
import { plusMinusText, shortDayText, Ticket, TicketHead, timeText } from '@/app/ui'
import { RunRow } from './run-row'

/** Heats before the last two that ran are folded away: the day is read forwards. */
const PAST_SHOWN = 2
/** So many of the rest are on the screen first; the rows behind them are drawn right after it. */
const DRAWN_FIRST = 6

/** The day from top to bottom, with a line where now is. Past runs stay short, coming ones carry their facts. */
export function DayAxis({ allHeats }: { allHeats: boolean }) {
  const heats = useDerived(dayHeatsNow)
  const counts = useDerived(runCounts)
  const rounds = useDerived((board) => board.rounds.all)
  const rows = heats.filter((h) => allHeats || h.heat.isBreak || h.runIds.length > 0 || h.marshals.length > 0)
  const firstComing = rows.findIndex((h) => h.isToCome)
  const [unfolded, setUnfolded] = useState(false)
  const foldable = Math.max(0, (firstComing < 0 ? rows.length : firstComing) - PAST_SHOWN)
  const folded = unfolded ? 0 : foldable
  const drawn = useDeferredValue(rows.length, folded + DRAWN_FIRST)
  let round: string | undefined
  return (
    <Ticket label="The day">
      <TicketHead
        title="The day"
        sub={`${counts.coming} of the team’s ${counts.all} runs still to come. The six marks of a run: assigned, fitted, pack in, tires on, checked, accepted.`}
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
        {rows.map((row, i) => {
          if (i < folded || i >= drawn) return null
          const { heat } = row
          const newRound = heat.roundId !== round && !heat.isBreak
          if (!heat.isBreak) round = heat.roundId
          return (
            <Fragment key={heat.id}>
              {newRound && <li className="axis-round">{rounds.get(heat.roundId ?? '')?.name ?? 'Round'}</li>}
              {i === firstComing && <NowLine />}
              <HeatRow row={row} />
            </Fragment>
          )
        })}
        {firstComing < 0 && <NowLine />}
      </ol>
    </Ticket>
  )
}

const runCounts = (board: Board) => {
  const runs = runsNow(board)
  return { all: runs.length, coming: runs.filter((r) => r.state !== 'finished').length }
}

function NowLine() {
  const now = useNow(5_000)
  const { other } = useDerived(dayStateNow)
  const driftS = useDerived((board) => forecastNow(board).driftS)
  const minutes = other ? 0 : Math.round(driftS / 60)
  return (
    <li className="axis-now">
      <span>
        now {other && `${shortDayText(now)}, `}
        <span className="num">{timeText(now)}</span>
      </span>
      {minutes !== 0 && (
        <span>
          <span className="num">{Math.abs(minutes)}</span> min {minutes > 0 ? 'late' : 'early'}
        </span>
      )}
    </li>
  )
}

/** Rendered only when something of this very heat has changed. */
const HeatRow = memo(function HeatRow({ row }: { row: DayHeat }) {
  const nameOf = useNameOf()
  const { heat, className, startAt, state } = row
  const over = state === 'ran'
  const names = row.marshals.map((d) =>
    d.doneBy === d.owedBy ? nameOf(d.doneBy) : `${nameOf(d.doneBy)} for ${nameOf(d.owedBy)}`,
  )
  return (
    <li className="axis-heat" data-past={state === null ? undefined : ''}>
      <div className="axis-time">
        <span className="num">{startAt ? timeText(startAt) : '–'}</span>
        <span className="small num">{heat.startedAt?.v ? '' : plusMinusText(row.plusMinusS)}</span>
      </div>
      <div className="min-w-0">
        <div className="axis-title">
          {heat.isBreak ? (
            <span>{heat.label ?? 'Break'}</span>
          ) : (
            <span>
              {heatNameFirst(heat, className)}{' '}
              <span className="small">
                {[className, state === 'on-track' ? 'on the track' : state].filter(Boolean).join(' · ')}
              </span>
            </span>
          )}
          {names.length > 0 && !over && <span className="small">marshal: {names.join(', ')}</span>}
        </div>
        {row.runIds.map((runId) => (
          <RunRow key={runId} runId={runId} />
        ))}
      </div>
    </li>
  )
})
