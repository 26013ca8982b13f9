'use client'
import { useState } from 'react'
import { assignMechanic, canWrite } from '@/lib/board'
import { clockText } from '@/lib/core/clock-text'
import { factsOf, type RunInfo } from '@/lib/card'
import { Menu, Countdown, FactStrip, Link, timeText } from '../../../ui'
import type { RaceDay } from '../use-race-day'
import { ChoosePack } from './choose-pack'
import { ChooseTires } from './choose-tires'

/** One of the team's runs: car, facts, pack, tires, people. */
export function RunRow({ day, run }: { day: RaceDay; run: RunInfo }) {
  const [choosing, setChoosing] = useState<'pack' | 'tires' | null>(null)
  const card = `/board/${day.meetingId}/card/${run.carId}`
  const past = run.state === 'finished' || run.state === 'on-track'
  const record = past ? run.run?.record?.v : null
  // What was in the car counts; before the start, what is assigned.
  const packIn = record?.packId ?? (past ? run.run?.packIn?.v : null)
  const tiresOn = record?.tireSetId ?? (past ? run.run?.tiresOn?.v : null)
  const pack = day.view.packs.get(packIn ?? run.run?.packId?.v)?.label
  const tires = day.view.tireSets.get(tiresOn ?? run.run?.tireSetId?.v)?.label
  const mechanicId = run.run?.mechanicId?.v ?? day.view.cars.get(run.carId)?.mechanicId
  const may = (field: string) => canWrite(day.ctx, 'meeting', 'runs', run.runId, field)
  const mechanics = day.view.people.live.filter((p) => p.role === 'mechanic' || p.role === 'manager')
  const result = run.run?.result?.v
  return (
    <div className="run-row" data-run={run.runId} data-state={run.state}>
      <div className="run-car">
        <Link href={past ? card : `/board/${day.meetingId}/staging/${run.runId}`} className="run-name">
          {run.carName}
        </Link>
        <span className="small">{run.driverName}</span>
      </div>
      {past ? (
        <span className="small">
          {result ? (
            <span className="num">
              {result.laps}/{clockText(result.seconds)}
            </span>
          ) : run.state === 'on-track' ? (
            'on the track'
          ) : (
            'finished, no result yet'
          )}
        </span>
      ) : (
        <FactStrip facts={factsOf(day.view, run)} size="row" />
      )}
      <div className="run-things">
        {past ? (
          <span className="num">{[pack, tires].filter(Boolean).join(' ') || '–'}</span>
        ) : (
          <>
            <button
              type="button"
              className="run-thing"
              disabled={!may('packId')}
              onClick={() => setChoosing('pack')}
              aria-label={`pack ${pack ?? '–'} of ${run.carName}`}
            >
              <span className="small">pack</span> <span className="num">{pack ?? '–'}</span>
            </button>
            <button
              type="button"
              className="run-thing"
              disabled={!may('tireSetId')}
              onClick={() => setChoosing('tires')}
              aria-label={`tires ${tires ?? '–'} of ${run.carName}`}
            >
              <span className="small">tires</span> <span className="num">{tires ?? '–'}</span>
            </button>
            <Menu
              label={`${mechanicId ? day.nameOf(mechanicId) : 'who?'}, mechanic for ${run.carName}`}
              button={mechanicId ? day.nameOf(mechanicId) : 'who?'}
              acts={mechanics.map((p) => ({
                id: p.id,
                label: p.name ?? p.id,
                isDisabled: !may('mechanicId'),
                onAct: () =>
                  void day.settle(
                    assignMechanic(day.ctx, day.view, { runId: run.runId, personId: p.id }),
                    `${p.name ?? ''} works on ${run.carName}`,
                  ),
              }))}
            />
            {run.callAt !== null && (
              <span className="run-call">
                <span className="small">call {timeText(run.callAt)}</span>
                <Countdown to={run.callAt} of="call" what={`call of ${run.carName}`} tenths={false} />
              </span>
            )}
          </>
        )}
      </div>
      {choosing === 'pack' && (
        <ChoosePack day={day} runIds={[run.runId]} isOpen onOpenChange={(o) => !o && setChoosing(null)} />
      )}
      {choosing === 'tires' && (
        <ChooseTires day={day} runIds={[run.runId]} isOpen onOpenChange={(o) => !o && setChoosing(null)} />
      )}
    </div>
  )
}
