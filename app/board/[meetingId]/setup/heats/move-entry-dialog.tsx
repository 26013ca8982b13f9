'use client'
import { moveEntry, type Entry } from '@/lib/board'
import { heatTitleText, titleOfHeat } from '@/lib/running-order'
import { useAct, useBoard } from '@/app/sync'
import { Button, Dialog, timeText } from '@/app/ui'

/** Pick the heat that an entry moves to: those of its class first, in the order of the day. */
export function MoveEntryDialog({
  entry,
  isOpen,
  onOpenChange,
}: {
  entry: Entry
  isOpen: boolean
  onOpenChange: (open: boolean) => void
}) {
  const view = useBoard()
  const act = useAct()
  const from = view.heats.get(entry.heatId)
  const near = (classId: string | undefined, roundId: string | undefined) =>
    (classId === from?.classId ? 0 : 2) + (roundId === from?.roundId ? 0 : 1)
  const heats = view.heats.live
    .filter((h) => !h.isBreak && !h.startedAt?.v && h.id !== entry.heatId)
    .map((h, i) => ({ h, rank: near(h.classId, h.roundId) * 10_000 + i }))
    .sort((a, b) => a.rank - b.rank)
  return (
    <Dialog title={`Move ${entry.driverName ?? 'the entry'}`} isOpen={isOpen} onOpenChange={onOpenChange}>
      {heats.length === 0 && <p>There are no other coming heats.</p>}
      <div className="grid gap-2">
        {heats.map(({ h }) => {
          const title = heatTitleText(titleOfHeat(view, h))
          return (
            <Button
              key={h.id}
              wide
              onPress={() => {
                const done = act(
                  (ctx, v) => moveEntry(ctx, v, { entryId: entry.id, heatId: h.id }),
                  `${entry.driverName ?? 'Entry'} moved to ${title}`,
                )
                if (done.ok) onOpenChange(false)
              }}
            >
              {h.plannedStart !== undefined && <span className="num">{timeText(h.plannedStart)}</span>}{' '}
              {title}
            </Button>
          )
        })}
      </div>
    </Dialog>
  )
}
