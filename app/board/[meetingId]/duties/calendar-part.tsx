'use client'
import { useMeetingId } from '@/app/meeting/use-meeting-id'
import { useSession, useNameOf, useNow } from '@/app/sync'
import { useCallback, useEffect, useState } from 'react'
import type { FeedInfo, FeedsResponse, MakeFeedResponse } from '@/lib/join/calendar-api'
import type { Refusal } from '@/lib/core/result'
import {
  agoText,
  Button,
  CopyText,
  Qr,
  RefusalText,
  SelectField,
  Ticket,
  TicketBody,
  TicketHead,
} from '@/app/ui'
import { callApi } from '@/app/ui/call-api'

/** A calendar's address for one person's day: made, shown once, closed. */
export function CalendarPart({ personId }: { personId: string }) {
  const meetingId = useMeetingId()
  const me = useSession()
  const nameOf = useNameOf()
  const now = useNow(10_000)
  const may = me.role === 'manager' || me.personId === personId
  const [feeds, setFeeds] = useState<FeedInfo[] | null>(null)
  const [made, setMade] = useState<MakeFeedResponse | null>(null)
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  const [busy, setBusy] = useState(false)

  const load = useCallback(async () => {
    const got = await callApi<FeedsResponse>(`/api/calendar/feeds?meetingId=${encodeURIComponent(meetingId)}`)
    if (got.ok) setFeeds(got.value.feeds.filter((f) => f.personId === personId))
    else setRefusal(got.error)
  }, [meetingId, personId])
  useEffect(() => {
    if (!may) return
    // eslint-friendly: the state is set after the answer, never while this effect runs
    void Promise.resolve().then(load)
  }, [may, load])

  if (!may) return null
  const call = async (path: string, body: unknown) => {
    setBusy(true)
    setRefusal(null)
    const done = await callApi<MakeFeedResponse>(path, body)
    setBusy(false)
    if (!done.ok) setRefusal(done.error)
    await load()
    return done
  }
  const make = async () => {
    const done = await call('/api/calendar/feeds', { meetingId, personId })
    if (done.ok) setMade(done.value)
  }
  const close = async (id: string) => {
    if (made?.feed.id === id) setMade(null)
    await call(`/api/calendar/feeds/${id}/revoke`, {})
  }
  return (
    <Ticket label="Calendar">
      <TicketHead title="In your calendar" sub={nameOf(personId)} />
      <TicketBody>
        <p className="small">
          Your phone’s calendar app can subscribe to this list. It updates only while the phone reaches this
          board, and only as often as the app likes, so close to a call look here. Calendars that update from
          servers on the internet can’t reach a board in the pit.
        </p>
        {refusal && (
          <p role="alert" className="refusal">
            <RefusalText refusal={refusal} />
          </p>
        )}
        {made && <MadeFeed made={made} />}
        {feeds && feeds.length > 0 && (
          <ul className="ruled" aria-label="Calendar addresses">
            {feeds.map((f) => (
              <li key={f.id} className="flex items-center gap-3 py-2">
                <span className="grow">Address made {agoText(f.createdAt, now)}</span>
                <Button look="hot" isDisabled={busy} onPress={() => void close(f.id)}>
                  Close it
                </Button>
              </li>
            ))}
          </ul>
        )}
        <Button isDisabled={busy} onPress={() => void make()}>
          Make a calendar link
        </Button>
      </TicketBody>
    </Ticket>
  )
}

function MadeFeed({ made }: { made: MakeFeedResponse }) {
  // The address this page was opened under works for sure; loopback does so for this machine only.
  const isLoopback = /^(localhost|127\.|\[::1\])/.test(location.host)
  const origins = [
    ...new Set(isLoopback ? [...made.origins, location.origin] : [location.origin, ...made.origins]),
  ]
  const [origin, setOrigin] = useState(origins[0] ?? location.origin)
  const url = `${origin}${made.path}`
  return (
    <div className="grid gap-3" role="status">
      <p>Shown only once. Anyone who has it can read this list and nothing else, until it is closed.</p>
      {origins.length > 1 && (
        <SelectField
          label="Address of the board"
          hint="The phone must be able to reach it."
          value={origin}
          options={origins.map((o) => ({ id: o, label: o }))}
          onChange={(o) => o && setOrigin(o)}
        />
      )}
      <div className="justify-self-center">
        <Qr text={url} label="QR code of the calendar’s address" size={200} />
      </div>
      <CopyText label="Calendar address" text={url} rows={3} />
      <a className="btn" href={url.replace(/^https?:/, 'webcal:')}>
        Subscribe on this phone
      </a>
    </div>
  )
}
