'use client'
import { hereAs } from '@/lib/core/zone'
import { useMemo, useState } from 'react'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useBoard, useDerived, useEditContext, useNow } from '@/app/sync'
import { useBeside, type Beside } from '@/app/sync/read-beside'
import { ChoiceField, Dialog, Note, SelectField, shortDayText } from '@/app/ui'
import { cardCopy, currentSnapshot, diffCards, nextRunOf, runsNow, runsOf } from '@/lib/card'
import { AssignRows, mayAssign } from './assign-rows'
import { ComparisonTable, type Side } from './comparison-table'
import { IN_CAR, sourcesOf, sourceSnapshot } from './sources'

/**
 * Where this card differs from an earlier run's record, from another car's card, from what is in the car, or from any card and run of another
 * meeting; each value there is one tap from being asked for here, and so are all, without the groups that somebody leaves out.
 */
export function Comparison({ carId, onClose }: { carId: string; onClose: () => void }) {
  const here = useMeetingId()
  const [meetingId, setMeeting] = useState(here)
  const meetings = useDerived((board) => board.meetings.live)
  const isPast = meetingId !== here
  const beside = useBeside(isPast ? meetingId : null)
  const past = isPast ? (meetings.find((m) => m.id === meetingId)?.name ?? 'another meeting') : null
  return (
    <Dialog title="Compare" isOpen onOpenChange={(open) => !open && onClose()}>
      {meetings.length > 1 && (
        <SelectField
          label="Meeting"
          options={[...meetings]
            .sort((a, b) => Number(b.id === here) - Number(a.id === here) || nearest(b) - nearest(a))
            .map((m) => ({
              id: m.id,
              label: m.id === here ? 'This meeting' : (m.name ?? 'Unnamed meeting'),
              detail: m.startsAt ? shortDayText(hereAs(m.startsAt, m.zone)) : undefined,
            }))}
          value={meetingId}
          onChange={(id) => setMeeting(id ?? here)}
        />
      )}
      {past !== null && <BesideNote name={past} beside={beside} />}
      <Sources key={meetingId} carId={carId} past={past} beside={beside} />
    </Dialog>
  )
}

const nearest = (m: { startsAt?: number }) => m.startsAt ?? 0

/** How far another meeting is here: nobody shall take for all of it what is not. */
function BesideNote({ name, beside }: { name: string; beside: Beside }) {
  if (beside.isGone) return <Note tone="hot">{name} is not on the server any more.</Note>
  if (beside.from === 'server') return null
  if (beside.from === 'phone')
    return <Note>{name} as this phone last had it. The server’s comes as soon as it answers.</Note>
  return beside.isMissing ? (
    <Note>{name} is not on this phone. It opens as soon as the server answers.</Note>
  ) : (
    <p className="small" role="status">
      Opening {name}
    </p>
  )
}

function Sources({ carId, past, beside }: { carId: string; past: string | null; beside: Beside }) {
  const runsHere = useDerived(runsNow)
  const view = useBoard()
  const ctx = useEditContext()
  const now = useNow(60_000)
  const there = past === null ? view : beside.view
  const runs = useMemo(
    () => (past === null || !there ? runsHere : runsOf(there, now)),
    [past, there, runsHere, now],
  )
  const options = useMemo(
    () => (there ? sourcesOf(there, runs, carId, past !== null) : []),
    [there, runs, carId, past],
  )
  const [picked, setPicked] = useState<string | null>(null)
  const [chosen, setSide] = useState<Side>('fitted')
  const [left, setLeft] = useState<ReadonlySet<string>>(new Set())
  if (!there) return null
  const other = picked ?? options[0]?.id ?? null
  if (other === null) return <p>No card was filled in there.</p>
  const isInCar = other === IN_CAR
  const side = isInCar ? 'fitted' : chosen
  const from = isInCar
    ? { ...currentSnapshot(view, carId), name: 'Fitted now' }
    : sourceSnapshot(there, runs, other, past)
  const card = currentSnapshot(view, carId, nextRunOf(runsHere, carId))
  const groups = from ? cardCopy(view, from, card, side) : []
  // Another car's pack and tires are its own, and those of another day are not here: that they differ says nothing.
  const things =
    from?.carId === carId && !isInCar && past === null
      ? diffCards(view, from, card, side).filter((d) => d.parameterId === 'pack' || d.parameterId === 'tires')
      : []
  const all = groups.flatMap((g) => g.rows).filter((r) => mayAssign(ctx, carId, r))
  const taken = groups.filter((g) => !left.has(g.id)).flatMap((g) => g.rows)
  const reason = isInCar ? null : (from?.name ?? null)
  return (
    <>
      <SelectField label="With" options={options} value={other} onChange={setPicked} />
      {!isInCar && (
        <ChoiceField
          label="What to compare"
          value={side}
          onChange={(v) => setSide(v === 'assigned' ? 'assigned' : 'fitted')}
          options={[
            { id: 'fitted', label: 'What was fitted' },
            { id: 'assigned', label: 'What was assigned' },
          ]}
        />
      )}
      {from && groups.length + things.length === 0 && <p>No differences.</p>}
      {from && groups.length + things.length > 0 && (
        <>
          {all.length > 1 && (
            <p className="small">
              Nothing changes until you assign. Uncheck a group to leave it out; one undo takes all of it
              back.
            </p>
          )}
          <AssignRows carId={carId} rows={taken} from={reason} of={all.length} />
          <ComparisonTable
            carId={carId}
            name={from.name}
            from={reason}
            groups={groups}
            things={things}
            side={side}
            left={left}
            onLeave={(group, isLeft) =>
              setLeft((before) => {
                const next = new Set(before)
                if (isLeft) next.add(group)
                else next.delete(group)
                return next
              })
            }
          />
        </>
      )}
    </>
  )
}
