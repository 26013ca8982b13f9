'use client'
import { memo, useState } from 'react'
import { keepPages } from '@/app/offline/use-offline-pages'
import { Button, Link, Ticket, TicketHead, useToasts } from '@/app/ui'
import type { SeasonDesk } from './season-desk'
import type { MeetingPlace, SeasonMeeting } from './season-messages'
import { debriefOf } from './run-link'
import { seasonDay, sizeText } from './season-text'

const PLACE_WORDS: Readonly<Record<MeetingPlace, string>> = {
  stored: 'on this phone',
  held: 'only while this page is open',
  coming: 'loading',
  away: 'not on this phone',
  gone: 'not on the server',
}

/** Which meetings the season is made of, and which of them are here without network. */
export const SeasonMeetingsPart = memo(function SeasonMeetingsPart({
  meetings,
  desk,
}: {
  meetings: readonly SeasonMeeting[]
  desk: SeasonDesk
}) {
  const sorted = [...meetings].sort((a, b) => (b.day ?? 0) - (a.day ?? 0))
  return (
    <Ticket label="Meetings of the season">
      <TicketHead title="Meetings" sub="What you keep is there without network, its debriefs too" />
      <ul className="ruled">
        {sorted.map((m) => (
          <MeetingLine key={m.meetingId} meeting={m} desk={desk} />
        ))}
      </ul>
    </Ticket>
  )
})

/** Runs of a meeting that was opened here are on the phone; the pages of its debriefs may not be. */
const KEEP_WORDS: Readonly<Partial<Record<MeetingPlace, string>>> = {
  held: 'Keep on this phone',
  stored: 'Keep its debriefs',
}

function MeetingLine({ meeting: m, desk }: { meeting: SeasonMeeting; desk: SeasonDesk }) {
  const toasts = useToasts()
  const [state, setState] = useState<'idle' | 'busy' | 'kept'>('idle')
  const isHere = m.place === 'stored' || m.place === 'held'
  const keep = () => {
    setState('busy')
    desk.keep(m.meetingId)
    void keepPages([`/board/${m.meetingId}`, ...m.runIds.map((runId) => debriefOf(m.meetingId, runId))]).then(
      (kept) => {
        setState(kept ? 'kept' : 'idle')
        toasts.say(
          kept
            ? `${m.name} is kept on this phone`
            : `${m.name} is found on this phone; its debriefs open only with the network`,
        )
      },
    )
  }
  const runs = `${m.runIds.length} ${m.runIds.length === 1 ? 'run' : 'runs'}`
  return (
    <li className="season-hit">
      <div className="min-w-0">
        <Link href={`/board/${m.meetingId}`}>{m.name}</Link>
        <span className="small block">
          {[
            seasonDay(m.day),
            isHere && runs,
            PLACE_WORDS[m.place],
            m.bytes !== null && isHere && sizeText(m.bytes),
          ]
            .filter(Boolean)
            .join(', ')}
        </span>
      </div>
      {isHere && (
        <Button isDisabled={state !== 'idle'} onPress={keep}>
          {state === 'kept' ? 'Kept' : state === 'busy' ? 'Keeping…' : KEEP_WORDS[m.place]}
          <span className="visually-hidden">: {m.name}</span>
        </Button>
      )}
    </li>
  )
}
