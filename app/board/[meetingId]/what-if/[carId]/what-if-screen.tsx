'use client'
import { MissingCar } from '@/app/meeting/missing-car'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useCallback, useEffect, useState } from 'react'
import { useParams, useSearchParams } from 'next/navigation'
import { cardGround, inputLabel, nextRunOf, sameSpeedRatio, trialGround, valuesOf, runsNow } from '@/lib/card'
import { refusalText } from '@/lib/core/result'
import type { Board } from '@/lib/derived'
import { useLapProjections } from '@/app/card/projection-context'
import { ProjectionStrip } from '@/app/card/projection-strip'
import { useWhatIfDesk } from '@/app/card/use-what-if-desk'
import { useDerived, useBoard } from '@/app/sync'
import { useAsked } from '@/app/threads/use-desk'
import { Link, Note } from '@/app/ui'
import { DifferenceTable } from './comparison-part'
import { LapPart } from './lap-part'
import { SendProposal } from './send-proposal'
import { GearingPart, TurboPart, type GearRange } from './sweeps-part'
import { TrialForm } from './trial-form'
import { useTrial } from './use-trial'
import '@/app/card/card-parts.css'

/** Any value of a card as a trial beside today's card, and what becomes of the lap. */
export function WhatIfScreen() {
  const view = useBoard()
  const { carId } = useParams<{ carId: string }>()
  const car = view.cars.get(carId)
  if (!car || car.removed) return <MissingCar />
  return <WhatIf key={carId} carId={carId} />
}

/** `pinion:22`: what a suggestion wants tried. */
function triedIn(text: string | null): Readonly<Record<string, string>> {
  const [parameterId, value] = text?.split(':') ?? []
  return parameterId && value ? { [parameterId]: value } : {}
}

const DELAYS = [0, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5]

function WhatIf({ carId }: { carId: string }) {
  const view = useBoard()
  const runs = useDerived(runsNow)
  const meetingId = useMeetingId()
  const car = view.cars.get(carId)
  const run = nextRunOf(runs, carId)
  const trial = useTrial(view, carId, triedIn(useSearchParams().get('try')))
  const runId = run?.runId ?? ''
  const today = useDerived(cardGround, carId, runId)
  const latest = useDerived(
    useCallback((board: Board) => trialGround(board, carId, runId, trial.trial), [carId, runId, trial.trial]),
  )
  const problem = trial.refusal ? refusalText(trial.refusal) : null
  // A trial that can't be leaves the last one that could standing, marked.
  const [good, setGood] = useState(latest)
  if (problem === null && good !== latest) setGood(latest)
  const ground = problem === null ? latest : good
  const lap = useLapProjections('trial', ground.key, problem)
  const desk = useWhatIfDesk()
  const compare = useAsked(desk, 'compare')
  const gearing = useAsked(desk, 'gearing')
  const turbo = useAsked(desk, 'turbo')

  const values = valuesOf(ground.basis)
  const own = valuesOf(today.basis)
  const [range, setRange] = useState<GearRange | null>(null)
  const pinion = own.pinion ?? 20
  const spur = own.spur ?? 80
  const shownRange = range ?? {
    pinionFrom: Math.max(8, pinion - 3),
    pinionTo: Math.min(60, pinion + 3),
    spurFrom: Math.max(30, spur - 3),
    spurTo: Math.min(140, spur + 3),
  }
  const sameSpeed = sameSpeedRatio(today.basis, ground.basis)
  const { gearModuleMm, slotMinMm, slotMaxMm } = car ?? {}
  const hasSlot = gearModuleMm !== undefined && slotMinMm !== undefined && slotMaxMm !== undefined

  const rangeKey = JSON.stringify(shownRange)
  useEffect(() => {
    if (problem !== null) return
    desk.ask('compare', { today: today.basis, trial: ground.basis }, `${today.key}|${ground.key}`)
    const upTo = (from: number, to: number) =>
      Array.from({ length: Math.min(30, Math.max(0, to - from + 1)) }, (_, i) => from + i)
    const r = JSON.parse(rangeKey) as GearRange
    if (own.pinion && own.spur) {
      const sweep = {
        pinions: upTo(r.pinionFrom, r.pinionTo),
        spurs: upTo(r.spurFrom, r.spurTo),
        fitted: { pinion: own.pinion, spur: own.spur },
        moduleMm: gearModuleMm ?? null,
        slot:
          slotMinMm !== undefined && slotMaxMm !== undefined && slotMinMm <= slotMaxMm
            ? { minCentreMm: slotMinMm, maxCentreMm: slotMaxMm }
            : null,
        targetFinalDrive: sameSpeed,
      }
      desk.ask('gearing', { basis: ground.basis, sweep }, `${ground.key}|${rangeKey}|${sameSpeed}`)
    }
    const delay = values.turboDelayS
    const delays = [...new Set([...DELAYS, ...(delay !== undefined ? [delay] : [])])].sort((a, b) => a - b)
    const isOn = (values.turboDeg ?? 0) > 0
    desk.ask('turbo', { basis: ground.basis, delays: isOn ? delays : [] }, ground.key)
  }, [
    desk,
    problem,
    today,
    ground,
    rangeKey,
    sameSpeed,
    own.pinion,
    own.spur,
    gearModuleMm,
    slotMinMm,
    slotMaxMm,
    values.turboDelayS,
    values.turboDeg,
  ])
  const stale = problem !== null

  return (
    <div className="page">
      <div className="page-head">
        <h1>What if: {car?.name ?? 'the car'}</h1>
        <p>
          <Link className="tap" href={`/board/${meetingId}/card/${carId}`}>
            Today’s card
          </Link>
        </p>
      </div>
      {stale && (
        <Note tone="hot">{problem} Everything below is from the last trial that could be projected.</Note>
      )}
      <div className="what-if">
        <div className="grid grid-cols-1 gap-4 min-w-0 content-start">
          <TrialForm carId={carId} trial={trial} />
          <SendProposal carId={carId} trial={trial} />
        </div>
        <div className="grid grid-cols-1 gap-4 min-w-0 content-start">
          <ProjectionStrip
            meetingId={meetingId}
            ground={ground}
            lap={lap}
            isStale={stale}
            title="What the trial does"
            from="the trial"
          />
          <DifferenceTable inputs={ground.basis.inputs} state={compare} stale={stale} />
          <LapPart
            comparison={compare.answer}
            segments={ground.basis.segments ?? []}
            stale={stale || compare.stale}
          />
          <TurboPart
            state={turbo}
            label={inputLabel('turboDelayS', ground.basis.inputs)}
            now={values.turboDelayS ?? null}
            stale={stale}
          />
          <GearingPart
            state={gearing}
            range={shownRange}
            onRange={setRange}
            hasSlot={hasSlot}
            sameSpeed={sameSpeed}
            stale={stale}
            onTry={({ pinion: p, spur: s }) => {
              trial.setText('pinion', String(p))
              trial.setText('spur', String(s))
            }}
          />
        </div>
      </div>
    </div>
  )
}
