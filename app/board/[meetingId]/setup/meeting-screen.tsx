'use client'
import { useParams } from 'next/navigation'
import { useState } from 'react'
import { fillMeeting, setFirstDay, setRemoved } from '@/lib/board'
import type { Refusal } from '@/lib/core/result'
import { deviceZone, hereAs } from '@/lib/core/zone'
import { useAct, useBoard, useDerived, useMay, useSyncSnapshot } from '@/app/sync'
import { Button, Confirm, dayText, Empty, FormField, LinkButton, Loading, Ticket, TicketHead } from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'
import { RecordForm } from '@/app/record/record-form'
import { LastTime } from '@/app/season/last-time'
import { dateInputText, dayFromInput } from '@/app/words/day-text'

/** Of a meeting without a day every other one is in the past: the end of 2099, ms since the epoch. */
const FAR_AHEAD = 4_102_444_800_000

/** What the meeting is, and what its setup still needs. */
export function MeetingScreen() {
  const view = useBoard()
  const { meetingId } = useParams<{ meetingId: string }>()
  const meeting = view.meeting.get('meeting')
  const { meeting: room } = useSyncSnapshot()
  // Until the server's copy is here nobody knows whether the meeting is blank; setting it up then would write over it.
  if (!meeting?.name)
    return room?.hasContent ? <NotFilled meetingId={meetingId} /> : <Loading what="Loading the meeting" />
  return (
    <>
      <RemovedNote meetingId={meetingId} name={meeting.name} />
      <NextSteps meetingId={meetingId} />
      {meeting.trackId && (
        <LastTime trackId={meeting.trackId} before={meeting.startsAt ?? FAR_AHEAD} notThis={meetingId} />
      )}
      <Ticket>
        <TicketHead
          level={1}
          title={meeting.name}
          sub={[
            meeting.startsAt && dayText(hereAs(meeting.startsAt, meeting.zone)),
            nameOf(view.tracks.get(meeting.trackId)),
          ]
            .filter(Boolean)
            .join(', ')}
        />
        <RecordForm
          doc="meeting"
          collection="meeting"
          recordId="meeting"
          groups={[
            {
              fields: [
                { field: 'name', isRequired: true },
                { field: 'trackId', none: 'Not in the kit yet' },
                {
                  field: 'stagingLeadSeconds',
                  hint: 'How long before the start a heat is called. 300 is five minutes.',
                },
                { field: 'marshalRule' },
                { field: 'note', multiline: true, wide: true },
              ],
            },
          ]}
        />
        <FirstDay meetingId={meetingId} startsAt={meeting.startsAt} zone={meeting.zone} />
      </Ticket>
      <RemoveMeeting meetingId={meetingId} name={meeting.name} />
    </>
  )
}

/** Saved as soon as it is a day of this century. */
function FirstDay({
  meetingId,
  startsAt,
  zone,
}: {
  meetingId: string
  startsAt: number | undefined
  zone: string | undefined
}) {
  const act = useAct()
  const may = useMay('meeting', 'meeting', 'meeting', 'startsAt')
  const [draft, setDraft] = useState<string | null>(null)
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  const stored = startsAt === undefined ? '' : dateInputText(hereAs(startsAt, zone))
  const take = (text: string, isLeaving: boolean) => {
    if (text === stored) {
      setRefusal(null)
      return setDraft(null)
    }
    const day = dayFromInput('First day', text)
    // While a year is being typed, its first digits are no mistake yet.
    setRefusal(day.ok || !isLeaving ? null : day.error)
    if (!day.ok) return setDraft(text)
    act(
      (ctx) => setFirstDay(ctx, { meetingId, startsAt: day.value, zone: deviceZone() }),
      'First day changed',
    )
    setDraft(null)
  }
  return (
    <div className="form-grid" onBlur={() => draft !== null && take(draft, true)}>
      <FormField
        label="First day"
        type="date"
        hint="A running order without dates starts on this day."
        value={draft ?? stored}
        onChange={(text) => take(text, false)}
        refusal={refusal}
        isDisabled={!may}
      />
    </div>
  )
}

/** A meeting that was started by mistake, or copied with the wrong things: one act takes it out of every list, and one brings it back. */
function RemoveMeeting({ meetingId, name }: { meetingId: string; name: string }) {
  const act = useAct()
  const listed = useDerived((board) => board.meetings.get(meetingId))
  const may = useMay('kit', 'meetings', meetingId, 'removed')
  const [asking, setAsking] = useState(false)
  if (!listed || listed.removed) return null
  return (
    <div className="btn-row">
      <Button look="hot" isDisabled={!may} onPress={() => setAsking(true)}>
        Remove this meeting
      </Button>
      <Confirm
        title={`Remove ${name}?`}
        isOpen={asking}
        onOpenChange={setAsking}
        act="Remove the meeting"
        hot
        onConfirm={() => act((ctx) => setRemoved(ctx, 'kit', 'meetings', meetingId, true), `${name} removed`)}
      >
        <p>
          It leaves the list of meetings on every phone, with all that was entered or copied here. The meeting
          it was copied from stays as it is. Restore, on this page, brings it back.
        </p>
      </Confirm>
    </div>
  )
}

function RemovedNote({ meetingId, name }: { meetingId: string; name: string }) {
  const act = useAct()
  const isRemoved = useDerived((board) => board.meetings.get(meetingId)?.removed === true)
  const may = useMay('kit', 'meetings', meetingId, 'removed')
  if (!isRemoved) return null
  return (
    <div className="note note-hot flex flex-wrap items-center justify-between gap-3" role="status">
      <span>{name} was removed. It is in no list of meetings.</span>
      <Button
        isDisabled={!may}
        onPress={() => act((ctx) => setRemoved(ctx, 'kit', 'meetings', meetingId, false), `${name} is back`)}
      >
        Restore
      </Button>
    </div>
  )
}

function NextSteps({ meetingId }: { meetingId: string }) {
  const view = useBoard()
  const base = `/board/${meetingId}/setup`
  const ours = view.entries.live.filter((e) => e.carId).length
  const steps = [
    { done: view.classes.live.length > 0, text: 'Classes with their rules', href: `${base}/classes` },
    {
      done: view.heats.live.length > 0,
      text: 'The running order, pasted or dropped as a file',
      href: `${base}/import`,
    },
    { done: ours > 0, text: 'Our entries matched to our cars', href: `${base}/heats` },
  ]
  const open = steps.filter((s) => !s.done)
  if (open.length === 0) return null
  return (
    <Ticket tone="calm">
      <TicketHead title="Still to do" sub="The board works once these are done" />
      <ol className="kit-rows">
        {open.map((s, i) => (
          <li key={s.text} className="kit-row">
            <span className="kit-row-name">{s.text}</span>
            <LinkButton href={s.href} look={i === 0 ? 'do' : 'plain'}>
              Open
            </LinkButton>
          </li>
        ))}
      </ol>
    </Ticket>
  )
}

/** The kit lists the meeting, but its own document is blank: the page was closed half-way through starting it. */
function NotFilled({ meetingId }: { meetingId: string }) {
  const view = useBoard()
  const act = useAct()
  const may = useMay('meeting', 'meeting', 'meeting', 'name')
  const listed = view.meetings.get(meetingId)
  const [name, setName] = useState(listed?.name ?? '')
  return (
    <Empty
      title="This meeting is not set up yet"
      level={1}
      acts={
        <Button
          look="do"
          isDisabled={!may || name.trim() === ''}
          onPress={() =>
            act((ctx, v) =>
              fillMeeting(ctx, v, {
                name,
                startsAt: listed?.startsAt ?? ctx.clock.now(),
                zone: listed?.startsAt === undefined ? deviceZone() : listed.zone,
                trackId: listed?.trackId ?? null,
              }),
            )
          }
        >
          Set it up
        </Button>
      }
    >
      <p>Only its name is known. A manager sets it up here.</p>
      <FormField label="Meeting name" value={name} onChange={setName} isDisabled={!may} />
    </Empty>
  )
}
