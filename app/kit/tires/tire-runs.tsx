'use client'
import { changeRecord, type TireSet } from '@/lib/board'
import { dayOfRun, type TireLife } from '@/lib/season'
import { useAct, useBoard, useMay } from '@/app/sync'
import { Button, HelpNote, Note } from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'
import { RunLink } from '@/app/season/run-link'
import { seasonDay } from '@/app/season/season-text'

/** Where a set's runs so far come from: those that the board's records know, each by its name, and what was entered by hand. */
export function TireRuns({ set, life, isWhole }: { set: TireSet; life: TireLife; isWhole: boolean }) {
  const view = useBoard()
  const act = useAct()
  const may = useMay('kit', 'tireSets', set.id, 'runs')
  const runs = set.runs ?? 0
  const missing = life.over - runs
  const countAll = () =>
    act(
      (ctx) => changeRecord(ctx, 'kit', 'tireSets', set.id, { runs: life.over }),
      `${nameOf(set)}: ${life.over} runs counted`,
    )
  return (
    <>
      {isWhole && missing > 0 ? (
        <Note>
          The records know {life.over} {life.over === 1 ? 'run' : 'runs'}, {missing} more than are counted. A
          heat without a stamped finish counts nothing, or somebody corrected the number.{' '}
          <Button isDisabled={!may} onPress={countAll}>{`Count all ${life.over}`}</Button>
        </Note>
      ) : (
        isWhole && (
          <p>
            {runs} {runs === 1 ? 'run' : 'runs'} so far: {life.over} on record, {-missing} entered by hand.
          </p>
        )
      )}
      <div className="justify-self-start no-print">
        <HelpNote about="How runs are counted">
          The finish of a heat adds one run to the set that the board has on the car then. When the finish is
          removed, the run goes too. A number that you enter by hand stands, and later finishes add to it.
          Where a set is corrected after the finish, correct its number too: the runs on record show what is
          right.
        </HelpNote>
      </div>
      {life.runs.length > 0 && (
        <details className="no-print">
          <summary>{`Runs on record: ${life.runs.length}`}</summary>
          <ul className="ruled">
            {life.runs.map((r) => (
              <li key={`${r.meetingId}/${r.runId}`}>
                <RunLink run={r}>{`${nameOf(view.cars.get(r.carId))}, ${r.heat}`}</RunLink>
                <span className="small block">
                  {[r.meetingName, seasonDay(dayOfRun(r)), !r.isOver && 'not over yet']
                    .filter(Boolean)
                    .join(', ')}
                </span>
              </li>
            ))}
          </ul>
        </details>
      )}
    </>
  )
}
