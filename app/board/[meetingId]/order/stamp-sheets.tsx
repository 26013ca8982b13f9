'use client'
import { useBoard, useEditContext, useNow, useSettle } from '@/app/sync'
import { takeBackFinish, takeBackStart, type Heat } from '@/lib/board'
import { raceSecondsOf } from '@/lib/card'
import { Button, Confirm, Dialog, durationText } from '@/app/ui'
import { ShiftDialog } from '@/app/meeting/shift-dialog'
import { heatFirst, heatIn, heatInFull } from '@/app/meeting/heat-in-full'
import { StampTimeDialog } from './stamp-time-dialog'
import { startWord } from './start-word'
import type { useStamps } from './use-stamps'

export interface StampSheet {
  what: 'take-back' | 'correct' | 'early' | 'too' | 'delay'
  heat: Heat
}

/** What is asked about a stamp that is none of the plain ones. */
export default function StampSheets({
  sheet,
  running,
  stamps,
  close,
}: {
  sheet: StampSheet
  running: Heat | null
  stamps: ReturnType<typeof useStamps>
  close: () => void
}) {
  const view = useBoard()
  const now = useNow(5_000)
  const ctx = useEditContext()
  const settle = useSettle()
  const takeBack = (heat: Heat) =>
    settle(
      heat.finishedAt?.v
        ? takeBackFinish(ctx, view, { heatId: heat.id })
        : takeBackStart(ctx, view, { heatId: heat.id }),
      'Stamp removed',
    )
  return (
    <>
      {sheet.what === 'take-back' && (
        <Confirm
          title="Remove the stamp?"
          isOpen
          onOpenChange={(open) => !open && close()}
          act="Remove it"
          onConfirm={() => takeBack(sheet.heat)}
        >
          {sheet.heat.finishedAt?.v
            ? `The finish of ${heatInFull(view, sheet.heat)} will be removed. The heat is then on the track again.`
            : `The start of ${heatInFull(view, sheet.heat)} will be removed, and its run records with it.`}
        </Confirm>
      )}
      {sheet.what === 'early' && (
        <Confirm
          title={`${heatFirst(view, sheet.heat)} already finished?`}
          isOpen
          onOpenChange={(open) => !open && close()}
          act="It was stopped: stamp the finish"
          onConfirm={() => stamps.finish(sheet.heat)}
        >
          It started {durationText(ctx.clock.now() - (sheet.heat.startedAt?.v ?? 0))} ago, and its race lasts{' '}
          {durationText(raceSecondsOf(view, sheet.heat) * 1000)}.
        </Confirm>
      )}
      {sheet.what === 'too' && running && (
        <Dialog
          title={`${heatFirst(view, running)} is still on the track`}
          isOpen
          onOpenChange={(open) => !open && close()}
          acts={(done) => (
            <>
              <Button onPress={done}>Cancel</Button>
              <Button
                look="do"
                onPress={() => {
                  stamps.start(sheet.heat)
                  done()
                }}
              >
                {startWord(view, sheet.heat)} too
              </Button>
            </>
          )}
        >
          <p>
            Start {heatIn(view, sheet.heat)} too? {heatFirst(view, running)} will have no finish. You can
            enter it later under “Missing stamps”.
          </p>
        </Dialog>
      )}
      {sheet.what === 'correct' && (
        <StampTimeDialog
          title={`When did ${heatIn(view, sheet.heat)} start?`}
          label="Start"
          act="Correct the start"
          at={sheet.heat.startedAt?.v ?? now}
          note="What the cars ran with stays as recorded. Only the time changes."
          onClose={close}
          onSave={(at) => stamps.start(sheet.heat, at)}
        />
      )}
      {sheet.what === 'delay' && (
        <ShiftDialog
          heat={sheet.heat}
          title={`A delay before ${heatIn(view, sheet.heat)}`}
          isOpen
          onOpenChange={(o) => !o && close()}
        />
      )}
    </>
  )
}
