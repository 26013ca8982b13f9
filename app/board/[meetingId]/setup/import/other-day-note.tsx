'use client'
import { deviceZone, hereAs } from '@/lib/core/zone'
import { setFirstDay } from '@/lib/board'
import { localInstant, otherDayOf } from '@/lib/running-order'
import { useAct, useBoard } from '@/app/sync'
import { Button, dayText, Note, shortDayText } from '@/app/ui'
import type { Import } from './use-import'

/** The file is of another day than the meeting: said once, with the first day to be set right. */
export function OtherDayNote({ work, meetingId }: { work: Import; meetingId: string }) {
  const view = useBoard()
  const act = useAct()
  const plan = work.understood.plan
  const other = plan && otherDayOf(plan.problems)
  if (!other) return null
  const { startsAt, zone } = view.meeting.get('meeting') ?? {}
  const fileDay = localInstant(other.day, { hour: 0, minute: 0, second: 0 })
  return (
    <Note tone="hot">
      <p role="status">
        <b>This file is for another day.</b> {other.rows} {other.rows === 1 ? 'row names' : 'rows name'}{' '}
        {dayText(fileDay)} or later, and the meeting’s first day is{' '}
        {startsAt === undefined ? 'not set, so today' : dayText(hereAs(startsAt, zone))}. Set the first day,
        or change the order of day and month above if the file means another date.
      </p>
      <div className="btn-row mt-3">
        <Button
          look="do"
          onPress={() =>
            void act(
              (ctx) => setFirstDay(ctx, { meetingId, startsAt: fileDay, zone: deviceZone() }),
              'First day changed',
            )
          }
        >
          The meeting starts on {shortDayText(fileDay)}
        </Button>
      </div>
    </Note>
  )
}
