'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useAct, useDerived, useMay } from '@/app/sync'
import { memo, useState } from 'react'
import { assignMechanic } from '@/lib/board'
import { clockText } from '@/lib/core/clock-text'
import { factsNow, personName, runNow, type RunInfo } from '@/lib/card'
import { END_WORDS } from '@/app/words/debrief-words'
import { Menu, Countdown, FactStrip, Link, timeText } from '@/app/ui'
import { ChoosePack } from '@/app/meeting/choose-pack'
import { ChooseTires } from '@/app/meeting/choose-tires'

/** One of the team's runs: car, facts, pack, tires, people. */
export const RunRow = memo(function RunRow({ runId }: { runId: string }) {
  const run = useDerived(runNow, runId)
  return run && <Row run={run} />
})

/** What stands on a run beside its facts, by name. */
function useThings(run: RunInfo) {
  return useDerived((board) => {
    const past = run.state === 'finished' || run.state === 'on-track'
    const record = past ? run.run?.record?.v : null
    // What was in the car counts; before the start, what is assigned.
    const packIn = record?.packId ?? (past ? run.run?.packIn?.v : null)
    const tiresOn = record?.tireSetId ?? (past ? run.run?.tiresOn?.v : null)
    const mechanicId = run.run?.mechanicId?.v ?? board.cars.get(run.carId)?.mechanicId
    return {
      past,
      pack: board.packs.get(packIn ?? run.run?.packId?.v)?.label,
      tires: board.tireSets.get(tiresOn ?? run.run?.tireSetId?.v)?.label,
      mechanic: mechanicId ? personName(board, mechanicId) : 'who?',
      mechanics: board.people.live.filter((p) => p.role === 'mechanic' || p.role === 'manager'),
    }
  })
}

function Row({ run }: { run: RunInfo }) {
  const meetingId = useMeetingId()
  const act = useAct()
  const [choosing, setChoosing] = useState<'pack' | 'tires' | null>(null)
  const card = `/board/${meetingId}/card/${run.carId}`
  const { past, pack, tires, mechanic, mechanics } = useThings(run)
  const facts = useDerived(factsNow, run.runId)
  const mayPack = useMay('meeting', 'runs', run.runId, 'packId')
  const mayTires = useMay('meeting', 'runs', run.runId, 'tireSetId')
  const mayMechanic = useMay('meeting', 'runs', run.runId, 'mechanicId')
  const result = run.run?.result?.v
  return (
    <div className="run-row" data-run={run.runId} data-state={run.state}>
      <div className="run-car">
        <Link href={past ? card : `/board/${meetingId}/staging/${run.runId}`} className="run-name">
          {run.carName}
        </Link>
        <span className="small">{run.driverName}</span>
      </div>
      {past ? (
        <span className="small">
          {result ? (
            <span className="num">
              {result.ended
                ? END_WORDS[result.ended].toLowerCase()
                : `${result.laps}/${clockText(result.seconds)}`}
            </span>
          ) : run.state === 'on-track' ? (
            'on the track'
          ) : (
            'finished, no result yet'
          )}
        </span>
      ) : (
        <FactStrip facts={facts} size="row" />
      )}
      <div className="run-things">
        {past ? (
          <>
            <span className="num">{[pack, tires].filter(Boolean).join(' ') || '–'}</span>
            <Link href={`/board/${meetingId}/debrief/${run.runId}`} className="run-thing">
              Debrief<span className="visually-hidden"> of {run.carName}</span>
            </Link>
          </>
        ) : (
          <>
            <button
              type="button"
              className="run-thing"
              disabled={!mayPack}
              onClick={() => setChoosing('pack')}
              aria-label={`pack ${pack ?? '–'} of ${run.carName}`}
            >
              <span className="small">pack</span> <span className="num">{pack ?? '–'}</span>
            </button>
            <button
              type="button"
              className="run-thing"
              disabled={!mayTires}
              onClick={() => setChoosing('tires')}
              aria-label={`tires ${tires ?? '–'} of ${run.carName}`}
            >
              <span className="small">tires</span> <span className="num">{tires ?? '–'}</span>
            </button>
            <Menu
              label={`${mechanic}, mechanic for ${run.carName}`}
              button={mechanic}
              acts={mechanics.map((p) => ({
                id: p.id,
                label: p.name ?? p.id,
                isDisabled: !mayMechanic,
                onAct: () =>
                  void act(
                    (ctx, view) => assignMechanic(ctx, view, { runId: run.runId, personId: p.id }),
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
        <ChoosePack runIds={[run.runId]} isOpen onOpenChange={(o) => !o && setChoosing(null)} />
      )}
      {choosing === 'tires' && (
        <ChooseTires runIds={[run.runId]} isOpen onOpenChange={(o) => !o && setChoosing(null)} />
      )}
    </div>
  )
}
