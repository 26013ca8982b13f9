'use client'
import { useDerived, useEditContext, useSettle, useNameOf } from '@/app/sync'
import { joinId, runEdit } from '@/lib/board'
import { dutiesNow } from '@/lib/card'
import { ok } from '@/lib/core/result'
import { standInsFor } from '@/lib/planner'
import { Button, Dialog } from '@/app/ui'
import { ChooseList } from './choose-list'

/** Who could marshal in somebody's place without a clash of their own. */
export function StandInDialog({
  heatId,
  owedBy,
  isOpen,
  onOpenChange,
}: {
  heatId: string
  owedBy: string
  isOpen: boolean
  onOpenChange: (open: boolean) => void
}) {
  const duties = useDerived(dutiesNow)
  const ctx = useEditContext()
  const settle = useSettle()
  const nameOf = useNameOf()
  if (!isOpen) return null
  const duty = duties.duties.find((d) => d.heatId === heatId && d.owedBy === owedBy)
  const choices = duty ? standInsFor(duties.input, duties.duties, duty) : []
  const take = (personId: string | null) => {
    const done = runEdit(ctx, 'stand-in', (w) => {
      w.meeting('duties', joinId(heatId, owedBy), { standInId: w.stamp(personId) })
      return ok(undefined)
    })
    if (settle(done, personId ? `${nameOf(personId)} stands in` : 'Duty excused')) onOpenChange(false)
  }
  return (
    <Dialog
      title={`Who marshals for ${nameOf(owedBy)}?`}
      isOpen={isOpen}
      onOpenChange={onOpenChange}
      acts={() => <Button onPress={() => take(null)}>Excused by race control</Button>}
    >
      {choices.length === 0 && (
        <p>Nobody in the crew is free for this heat. Ask race control or another team.</p>
      )}
      <ChooseList
        onChoose={take}
        items={choices.map((c) => ({
          id: c.personId,
          words: c.name,
          says: `${c.name}, ${c.load} ${c.load === 1 ? 'duty' : 'duties'} today`,
          face: (
            <span className="choose-face">
              <span className="choose-label">{c.name}</span>
              <span className="small text-left">
                {c.load} {c.load === 1 ? 'duty' : 'duties'} today
                {c.slackSeconds !== null &&
                  ` · ${Math.round(c.slackSeconds / 60)} min before their own next run`}
              </span>
            </span>
          ),
        }))}
      />
    </Dialog>
  )
}
