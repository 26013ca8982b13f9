'use client'
import { usePathname } from 'next/navigation'
import { useEffect, useRef } from 'react'
import { useOpenBoard, useServerClock, useSyncPart } from '@/app/sync'
import { Link } from '@/app/ui/link'
import { isAt, PLACES, TOP_PLACES, type Place } from '@/app/ui/navigation'
import { everyInterval } from '@/app/ui/ticks'
import { timeSecondsText } from '@/app/ui/time-text'
import { writeText } from '@/app/ui/write-text'
import { useCurrentMeeting } from './use-current-meeting'
import { useMeetingName } from './use-meeting-name'
import { MoreButton } from './more-button'
import { SavedSum } from './saved-sum'
import { WhoMenu } from './who-menu'

/** Name of the meeting, the places, the shared clock, and what is not saved yet. */
export function TopBar() {
  const membership = useSyncPart((s) => s.membership)
  const board = useOpenBoard()
  const member = membership.state === 'member'
  return (
    <header className="top">
      <Link href="/" className="top-title">
        {member && board ? <MeetingName /> : <span>Stagecall</span>}
      </Link>
      {member && <TopNav role={membership.session.role} />}
      <div className="top-right">
        <ClockFace />
        {member && <SavedSum />}
        <WhoMenu />
      </div>
    </header>
  )
}

function MeetingName() {
  const meetingId = useCurrentMeeting()
  return <span>{useMeetingName(meetingId) ?? 'Stagecall'}</span>
}

function TopNav({ role }: { role: Parameters<typeof mayFind>[1] }) {
  const path = usePathname()
  const meetingId = useCurrentMeeting()
  const places = TOP_PLACES.map((id) => PLACES.find((p) => p.id === id)).filter(
    (p): p is Place => !!p && mayFind(p, role) && (meetingId !== null || !p.needsMeeting),
  )
  return (
    <nav className="top-nav" aria-label="Places">
      {places.map((p) => (
        <Link
          key={p.id}
          href={p.href(meetingId ?? '')}
          aria-current={isAt(p, path, meetingId ?? '') ? 'page' : undefined}
        >
          {p.label}
        </Link>
      ))}
      <MoreButton besides={places} />
    </nav>
  )
}

const mayFind = (place: Place, role: 'manager' | 'mechanic' | 'driver' | 'guest') =>
  !place.roles || place.roles.includes(role)

/** The server's time: the one that every countdown runs on. Written past React, like theirs. */
function ClockFace() {
  const clock = useServerClock()
  const face = useRef<HTMLSpanElement>(null)
  useEffect(() => {
    const draw = () => {
      if (face.current) writeText(face.current, timeSecondsText(clock.now()))
    }
    draw()
    return everyInterval(clock, 1000, draw)
  }, [clock])
  return (
    <span className="top-clock num" role="timer" aria-label="Board time">
      <span ref={face}>--:--:--</span>
    </span>
  )
}
