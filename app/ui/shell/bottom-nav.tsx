'use client'
import { usePathname } from 'next/navigation'
import { useState } from 'react'
import { useSyncPart } from '@/app/sync'
import { Link } from '@/app/ui/button'
import { Dialog } from '@/app/ui/dialog'
import { isAt, placesFor, THUMB_PLACES, type Place } from '@/app/ui/navigation'
import { ThemeSwitch } from './theme-switch'
import { useCurrentMeeting } from './use-current-meeting'

/** Under the thumb: the four places this role reaches for, and the rest. */
export function BottomNav() {
  const membership = useSyncPart((s) => s.membership)
  const path = usePathname()
  const meetingId = useCurrentMeeting()
  const [more, setMore] = useState(false)
  if (membership.state !== 'member') return null

  const places = placesFor(membership.session.role).filter((p) => meetingId !== null || !p.needsMeeting)
  const wanted: readonly string[] =
    meetingId === null ? ['home', 'kit', 'crew', 'help'] : THUMB_PLACES[membership.session.role]
  const thumb = wanted.map((id) => places.find((p) => p.id === id)).filter((p): p is Place => !!p)
  const rest = places.filter((p) => !thumb.includes(p))
  const current = (p: Place) => (isAt(p, path, meetingId ?? '') ? ('page' as const) : undefined)
  return (
    <>
      <nav className="bottom-nav" aria-label="Places">
        {thumb.map((p) => (
          <Link key={p.id} href={p.href(meetingId ?? '')} aria-current={current(p)}>
            {p.label}
          </Link>
        ))}
        <button type="button" aria-haspopup="dialog" onClick={() => setMore(true)}>
          More
        </button>
      </nav>
      <Dialog title="More" isOpen={more} onOpenChange={setMore}>
        <ul className="ruled -mx-[var(--gutter)] -mt-4">
          {rest.map((p) => (
            <li key={p.id}>
              <Link
                href={p.href(meetingId ?? '')}
                className="option"
                aria-current={current(p)}
                onClick={() => setMore(false)}
              >
                <span className="font-semibold">{p.label}</span>
                <span className="small text-right">{p.about}</span>
              </Link>
            </li>
          ))}
        </ul>
        <ThemeSwitch />
      </Dialog>
    </>
  )
}
