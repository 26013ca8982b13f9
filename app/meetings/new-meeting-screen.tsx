'use client'
import { useEffect, useRef, useState } from 'react'
import { createMeeting, fillMeeting, type BoardView, type CopyChoice } from '@/lib/board'
import { newId } from '@/lib/core/id'
import type { Refusal } from '@/lib/core/result'
import { deviceZone, hereAs } from '@/lib/core/zone'
import { MeetingRoot, useAct, useBoard, useGoOn, useMay, useNow, useSyncSnapshot } from '@/app/sync'
import {
  Button,
  Empty,
  FormField,
  LinkButton,
  Loading,
  Note,
  RefusalText,
  SelectField,
  shortDayText,
  Ticket,
  TicketBody,
  TicketHead,
  TicketSection,
} from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'
import { LastTime } from '@/app/season/last-time'
import { dateInputText, dayFromInput } from '@/app/words/day-text'
import { CopyTicks } from './copy-ticks'

const NEW_TRACK = 'new'
const COPY_ALL: CopyChoice = {
  classes: true,
  sheetsToday: false,
  rounds: true,
  day: true,
  assigned: true,
  fitted: true,
}
interface Past {
  name: string
  view: BoardView
}
interface Made {
  meetingId: string
  name: string
  startsAt: number
  zone: string
  trackId: string | null
  classes: readonly string[]
  past?: Past & { copy: CopyChoice }
}

/** Name, day and track; from a past meeting its classes, rounds and cards. Then straight on to the running order. */
export function NewMeetingScreen() {
  const [made, setMade] = useState<Made | null>(null)
  const may = useMay('kit', 'meetings', 'new', 'name')
  if (!may)
    return (
      <div className="page page-narrow">
        <Empty title="New meeting" level={1} acts={<LinkButton href="/">All meetings</LinkButton>}>
          <p>Only a manager can start a meeting. It then shows up here on its own.</p>
        </Empty>
      </div>
    )
  // The past meeting's document gives way to the new one, so the form below holds what was read from it.
  if (made)
    return (
      <MeetingRoot meetingId={made.meetingId} waiting={<Loading what={`Setting ${made.name} up`} />}>
        <FillNew made={made} />
      </MeetingRoot>
    )
  return <NewMeetingForm onMade={setMade} />
}

/** Writes what the form said into the new meeting's own document, once, and moves on. */
function FillNew({ made }: { made: Made }) {
  const act = useAct()
  const goOn = useGoOn()
  const view = useBoard()
  const isFilled = view.meeting.get('meeting')?.name !== undefined
  const done = useRef(false)
  const [failed, setFailed] = useState<Refusal | null>(null)
  const setUp = `/board/${made.meetingId}/setup`
  useEffect(() => {
    if (done.current) return
    done.current = true
    // Filled in an earlier life of this screen: all that is left is to move on.
    const filled = isFilled ? null : act((ctx, v) => fillMeeting(ctx, v, made))
    if (filled && !filled.ok) setFailed(filled.error)
    else goOn(setUp, 'replace')
  }, [act, made, goOn, setUp, isFilled])
  if (!failed) return <Loading what={`Setting ${made.name} up`} />
  return (
    <div className="page page-narrow">
      <Empty
        title={`${made.name} is still empty`}
        level={1}
        acts={<LinkButton href={setUp}>Open its setup</LinkButton>}
      >
        <p>
          <RefusalText refusal={failed} />
        </p>
      </Empty>
    </div>
  )
}

function NewMeetingForm({ onMade }: { onMade: (made: Made) => void }) {
  const view = useBoard()
  const act = useAct()
  const now = useNow(60_000)
  const mayTrack = useMay('kit', 'tracks', 'new', 'name')
  const [name, setName] = useState('')
  const [day, setDay] = useState<string | null>(null)
  const [trackId, setTrackId] = useState<string | null>(null)
  const [newTrack, setNewTrack] = useState('')
  const [classes, setClasses] = useState('')
  const [pastId, setPastId] = useState<string | null>(null)
  const [past, setPast] = useState<Past | null>(null)
  const [copy, setCopy] = useState(COPY_ALL)
  const [refusals, setRefusals] = useState<{ name?: Refusal; day?: Refusal }>({})
  const dayShown = day ?? (now === 0 ? '' : dateInputText(now))
  const firstDay = dayFromInput('First day', dayShown)
  const meetings = [...view.meetings.live].sort((a, b) => (b.startsAt ?? 0) - (a.startsAt ?? 0))
  const reading = pastId !== null && past === null

  const start = () => {
    const missing = name.trim() === ''
    setRefusals({
      name: missing
        ? {
            field: 'Meeting name',
            value: '',
            reason: 'is missing',
            remedy: 'Enter the name the club uses.',
          }
        : undefined,
      day: firstDay.ok ? undefined : firstDay.error,
    })
    if (missing || !firstDay.ok) return
    const track = trackId === NEW_TRACK ? newTrack.trim() : ''
    const t = {
      name: name.trim(),
      startsAt: firstDay.value,
      zone: deviceZone(),
      trackId: trackId !== NEW_TRACK ? trackId : track === '' ? null : newId(),
    }
    const created = act((ctx) =>
      createMeeting(ctx, { ...t, copiedFrom: pastId, ...(track !== '' && { newTrack: track }) }),
    )
    if (!created.ok) return
    const typed = classes
      .split(/[\n;,]/)
      .map((c) => c.trim())
      .filter((c) => c !== '')
    onMade({ meetingId: created.value, ...t, classes: typed, past: past ? { ...past, copy } : undefined })
  }
  return (
    <div className="page page-narrow">
      <Ticket>
        <TicketHead title="New meeting" sub="Classes and the running order come next" level={1} />
        <TicketBody>
          <FormField
            label="Meeting name"
            value={name}
            onChange={setName}
            maxLength={80}
            isRequired
            autoFocus
            refusal={refusals.name}
            onEnter={start}
          />
          <FormField
            label="First day"
            type="date"
            value={dayShown}
            onChange={setDay}
            isRequired
            refusal={refusals.day}
          />
          <SelectField
            label="Track"
            options={[
              ...view.tracks.live.map((t) => ({ id: t.id, label: nameOf(t) })),
              ...(mayTrack ? [{ id: NEW_TRACK, label: 'A new track' }] : []),
            ]}
            value={trackId}
            none="Not chosen"
            onChange={setTrackId}
          />
          {trackId === NEW_TRACK && (
            <FormField
              label="Name of the track"
              hint="Surface, grip and pieces can be added in the kit later."
              value={newTrack}
              onChange={setNewTrack}
              maxLength={60}
              autoFocus
            />
          )}
          <FormField
            label="Classes"
            hint="One per line. Classes with rules in the kit get those rules. The running order can add more."
            value={classes}
            onChange={setClasses}
            multiline
          />
        </TicketBody>
        {trackId !== null && trackId !== NEW_TRACK && firstDay.ok && (
          <LastTime trackId={trackId} before={firstDay.value} />
        )}
        <TicketSection title="From a past meeting" level={2} />
        <TicketBody>
          <SelectField
            label="Copy from"
            hint="The past meeting does not change."
            options={meetings.map((m) => ({
              id: m.id,
              label: nameOf(m),
              detail: m.startsAt ? shortDayText(hereAs(m.startsAt, m.zone)) : undefined,
            }))}
            value={pastId}
            none="Start empty"
            onChange={(id) => {
              setPastId(id)
              setPast(null)
              const from = view.meetings.get(id)
              if (from?.trackId && trackId === null) setTrackId(from.trackId)
            }}
          />
          {pastId && (
            <MeetingRoot
              key={pastId}
              meetingId={pastId}
              waiting={<p className="small">Opening the past meeting</p>}
            >
              <ReadPast name={nameOf(view.meetings.get(pastId))} onRead={setPast} />
            </MeetingRoot>
          )}
          {past && <CopyTicks past={past.view} copy={copy} onChange={setCopy} />}
        </TicketBody>
        <TicketBody>
          <div className="btn-row">
            <LinkButton href="/">Back</LinkButton>
            <Button look="do" isDisabled={reading} onPress={start}>
              {reading ? 'Reading the past meeting' : 'Start the meeting'}
            </Button>
          </div>
        </TicketBody>
      </Ticket>
    </div>
  )
}

/** Hands the past meeting's view up as soon as its content is here. */
function ReadPast({ name, onRead }: { name: string; onRead: (past: Past) => void }) {
  const view = useBoard()
  const { meeting } = useSyncSnapshot()
  const ready = meeting?.hasContent ?? false
  useEffect(() => {
    if (ready) onRead({ name, view })
  }, [ready, name, view, onRead])
  if (ready) return null
  return meeting?.connection === 'offline' ? (
    <Note tone="hot">
      {name} is not on this phone, and the server does not answer. Start empty, or try again with a
      connection.
    </Note>
  ) : (
    <p className="small" role="status">
      Loading {name}
    </p>
  )
}
