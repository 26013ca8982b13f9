'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { runsNow } from '@/lib/card'
import { useBoard, useEditContext, useSession, useDerived, useSettle } from '@/app/sync'
import { useState } from 'react'
import { canWrite, noteResult, RUN_ENDS, type RunEnd, type RunResult } from '@/lib/board'
import { clockText } from '@/lib/core/clock-text'
import { readSeconds } from '@/lib/core/read-seconds'
import { refuse, type Refusal } from '@/lib/core/result'
import { END_WORDS, resultText } from '@/app/words/debrief-words'
import { Button, ChoiceField, FormField, LinkButton, NumberEntry } from '@/app/ui'
import { ByLine } from './by-line'
import type { PartProps } from './part-props'

const FINISHED = 'finished'

/** Counts of laps near the usual one, each once. */
const likely = (usual: number) => [...new Set([-2, -1, 0, 1, 2].map((d) => Math.max(0, usual + d)))]

/** Laps and time, from the heat's result list or typed. */
export function ResultPart({ run }: PartProps) {
  const view = useBoard()
  const ctx = useEditContext()
  const me = useSession()
  const meetingId = useMeetingId()
  const result = view.runs.get(run.runId)?.result?.v ?? null
  const may = canWrite(ctx, 'meeting', 'runs', run.runId, 'result')
  const mayImport = me.role === 'manager' || me.role === 'mechanic'
  const [typing, setTyping] = useState(false)
  return (
    <div className="ticket-body">
      {result ? <p className="debrief-big num">{resultText(result)}</p> : <p>No result yet.</p>}
      <ByLine runId={run.runId} fields={['result']} />
      {may && (
        <div className="btn-row no-print">
          {!typing && (
            <Button onPress={() => setTyping(true)}>
              {result ? 'Correct the result' : 'Type the result'}
            </Button>
          )}
          {mayImport && (
            <LinkButton href={`/board/${meetingId}/debrief/import?heat=${run.heat.id}`}>
              Paste the heat’s list
            </LinkButton>
          )}
        </div>
      )}
      {typing && <ResultForm run={run} result={result} onDone={() => setTyping(false)} />}
    </div>
  )
}

function ResultForm({ run, result, onDone }: PartProps & { result: RunResult | null; onDone: () => void }) {
  const runs = useDerived(runsNow)
  const ctx = useEditContext()
  const view = useBoard()
  const settle = useSettle()
  const [ended, setEnded] = useState<RunEnd | typeof FINISHED>(result?.ended ?? FINISHED)
  const [laps, setLaps] = useState<number | null>(result?.laps ?? null)
  const [time, setTime] = useState(result && result.seconds > 0 ? clockText(result.seconds, 3) : '')
  const [best, setBest] = useState(result?.bestLapS === undefined ? '' : String(result.bestLapS))
  const [place, setPlace] = useState<number | null>(result?.position ?? null)
  const [reason, setReason] = useState(result?.reason ?? '')
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  const [lapsFit, setLapsFit] = useState(true)
  const [placeFits, setPlaceFits] = useState(true)
  // As many laps as the team's cars of this class did last.
  const usual = runs.findLast((r) => r.raceClass?.id === run.raceClass?.id && r.run?.result?.v)?.run?.result
    ?.v?.laps
  const didStart = ended !== 'did-not-start'
  const isOut = ended === 'did-not-finish'
  const save = () => {
    // Nobody may have timed, or counted, a car that stopped on the way.
    const seconds = isOut && time.trim() === '' ? 0 : readSeconds(time)
    const driven = isOut ? (laps ?? 0) : laps
    const bestLapS = best.trim() === '' ? undefined : readSeconds(best)
    if (didStart && (seconds === null || driven === null))
      return setRefusal(
        driven === null
          ? refuse('Laps', '', 'are missing', 'Tap how many laps the car did.').error
          : refuse('Time', time, 'is not a time', 'Enter it as in 5:02.4.').error,
      )
    if (bestLapS === null)
      return setRefusal(refuse('Best lap', best, 'is not a lap time', 'Enter it as in 22.41.').error)
    const next: RunResult = {
      laps: didStart ? (driven ?? 0) : 0,
      seconds: didStart ? (seconds ?? 0) : 0,
      ...(place !== null && { position: place }),
      ...(didStart && bestLapS !== undefined && { bestLapS }),
      ...(ended !== FINISHED && { ended }),
      ...(ended !== FINISHED && reason.trim() && { reason: reason.trim() }),
    }
    const noted = noteResult(ctx, view, { runId: run.runId, result: next })
    setRefusal(noted.ok ? null : noted.error)
    if (settle(noted, `${run.carName}: ${resultText(next)}`)) onDone()
  }
  return (
    <div className="grid gap-3 no-print">
      <ChoiceField
        label="How it ended"
        options={[
          { id: FINISHED, label: 'Finished' },
          ...RUN_ENDS.map((id) => ({ id: id, label: END_WORDS[id] })),
        ]}
        value={ended}
        onChange={(id) => {
          setEnded(RUN_ENDS.find((e) => e === id) ?? FINISHED)
          // The field begins anew with what was last saved in it.
          setLapsFit(true)
        }}
      />
      {didStart && (
        <>
          <NumberEntry
            quick
            label="Laps"
            min={0}
            max={500}
            step={1}
            value={laps}
            near={usual === undefined ? [] : likely(usual)}
            start={usual ?? 12}
            onChange={setLaps}
            onFits={setLapsFit}
          />
          <FormField
            label="Time"
            hint={isOut ? 'As in 2:44.0, if anybody timed it' : 'As in 5:02.4'}
            value={time}
            onChange={setTime}
            inputMode="text"
          />
          <FormField label="Best lap" hint="As in 22.41, if you know it" value={best} onChange={setBest} />
        </>
      )}
      <NumberEntry
        quick
        label="Place"
        min={1}
        max={200}
        step={1}
        value={place}
        near={[1, 2, 3, 4, 5]}
        onChange={setPlace}
        onFits={setPlaceFits}
      />
      {ended !== FINISHED && (
        <FormField
          label="Reason"
          hint="As in “broken arm, lap 7”"
          value={reason}
          onChange={setReason}
          maxLength={200}
        />
      )}
      {refusal && (
        <p className="refusal" role="alert">
          <b>{refusal.field}</b>: {refusal.reason}. {refusal.remedy}
        </p>
      )}
      <div className="btn-row">
        <Button look="do" isDisabled={(didStart && !lapsFit) || !placeFits} onPress={save}>
          Save the result
        </Button>
        <Button look="quiet" onPress={onDone}>
          Cancel
        </Button>
      </div>
    </div>
  )
}
