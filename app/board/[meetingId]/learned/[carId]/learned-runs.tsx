'use client'
import { canWrite, learnFromRun, type LearnFrom } from '@/lib/board'
import type { RunRecordOf } from '@/lib/card'
import { figureText } from '@/lib/core/figure-text'
import type { Learned, WeighedReading } from '@/lib/learning'
import { z90, type ErrorFigure } from '@/lib/setup-math'
import { LEARNED_FIGURES, percentOff } from '@/app/card/learned-words'
import { Button, Note, Ticket, TicketHead, timeText } from '@/app/ui'
import { heatInFull } from '@/app/meeting/heat-in-full'
import { useBoard, useEditContext, useNameOf, useSettle } from '@/app/sync'

/** The runs of a car that tell something, the latest first, each with what it moved; any of them can be forgotten and put back. */
export function LearnedRuns({
  records,
  learned,
}: {
  records: readonly RunRecordOf[]
  learned: Learned | null
}) {
  const forgotten = records.filter((r) => r.forgotten).length
  const counting = records.length - forgotten
  return (
    <Ticket label="Runs">
      <TicketHead
        title="Its runs"
        sub={`${counting} ${counting === 1 ? 'counts' : 'count'}${forgotten ? `, ${forgotten} forgotten` : ''}`}
      />
      <ul className="ruled">
        {[...records].reverse().map((record) => (
          <OneRun
            key={record.runId}
            record={record}
            readings={learned?.readings.filter((r) => r.record === record.runId) ?? []}
          />
        ))}
      </ul>
    </Ticket>
  )
}

function OneRun({ record, readings }: { record: RunRecordOf; readings: readonly WeighedReading[] }) {
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const nameOf = useNameOf()
  const { runId } = record
  const may = canWrite(ctx, 'meeting', 'runs', runId, 'learnFrom')
  const heat = view.heats.get(view.entries.get(runId)?.heatId)
  const name = heat ? heatInFull(view, heat) : 'A run'
  const aside = readings.filter((r) => r.state === 'set-aside')
  const said = view.runs.get(runId)?.learnFrom
  const use = (to: LearnFrom | null, done: string) =>
    settle(learnFromRun(ctx, view, { runId, use: to }), `${name}: ${done}`)
  return (
    <li className="ticket-body">
      <h3>{name}</h3>
      {said && (said.v === 'no' || said.v === 'always') && (
        <p className="small">
          {said.v === 'no' ? 'Forgotten' : 'Counted, whatever the other runs say'}, {nameOf(said.by)}{' '}
          {timeText(said.at)}
        </p>
      )}
      {aside.length > 0 && (
        <Note tone="hot">
          Set aside: {aside.map((r) => readingText(r)).join('; ')}. The other runs contradict it, so it moves
          nothing. Was it typed right?
        </Note>
      )}
      {!record.forgotten && (
        <ul className="small" aria-label="What it told">
          {readings
            .filter((r) => r.state !== 'set-aside')
            .map((r) => (
              <li key={r.figure}>
                {readingText(r)}. {movedText(r.moved)}
              </li>
            ))}
        </ul>
      )}
      <div className="btn-row">
        {record.forgotten ? (
          <Button isDisabled={!may} onPress={() => use(null, 'counts again')}>
            Put it back
          </Button>
        ) : (
          <Button isDisabled={!may} onPress={() => use('no', 'forgotten')}>
            Forget this run
          </Button>
        )}
        {aside.length > 0 && (
          <Button isDisabled={!may} onPress={() => use('always', 'counted')}>
            It is right, count it
          </Button>
        )}
        {record.trusted && (
          <Button isDisabled={!may} onPress={() => use(null, 'judged by the other runs again')}>
            Let the other runs decide
          </Button>
        )}
      </div>
      {!may && <p className="small">A mechanic or a manager decides which runs count.</p>}
    </li>
  )
}

const readingText = (r: WeighedReading): string =>
  `${LEARNED_FIGURES[r.figure]} ${percentOff(r.logRatio)} ${r.logRatio < 0 ? 'below' : 'above'} the model, ${figureText(Math.abs(r.off) / z90, { digits: 1 })} times its ± from what was expected of this run`

/** By how much a reading moves the figures, the largest first. */
function movedText(moved: Partial<Record<ErrorFigure, number>>): string {
  const told = (Object.entries(moved) as [ErrorFigure, number][])
    .filter(([, by]) => Math.abs(by) >= 0.0005)
    .sort(([, a], [, b]) => Math.abs(b) - Math.abs(a))
    .slice(0, 3)
    .map(([f, by]) => `${LEARNED_FIGURES[f].toLowerCase()} ${by < 0 ? '−' : '+'}${percentOff(by)}`)
  return told.length ? `It moves ${told.join(', ')}.` : 'It moves nothing by much.'
}
