'use client'
import { usePathname } from 'next/navigation'
import { useSyncPart } from '@/app/sync'
import { Link } from '@/app/ui/link'
import { isAt, placesFor, THUMB_PLACES, type Place } from '@/app/ui/navigation'
import { MoreButton } from './more-button'
import { useCurrentMeeting } from './use-current-meeting'

/** Under the thumb: the four places this role reaches for, and the rest. */
export function BottomNav() {
  const membership = useSyncPart((s) => s.membership)
  const path = usePathname()
  const meetingId = useCurrentMeeting()
  if (membership.state !== 'member') return null

  const places = placesFor(membership.session.role).filter((p) => meetingId !== null || !p.needsMeeting)
  const wanted: readonly string[] =
    meetingId === null ? ['home', 'kit', 'crew', 'help'] : THUMB_PLACES[membership.session.role]
  const thumb = wanted.map((id) => places.find((p) => p.id === id)).filter((p): p is Place => !!p)
  const current = (p: Place) => (isAt(p, path, meetingId ?? '') ? ('page' as const) : undefined)
  return (
    <nav className="bottom-nav" aria-label="Places">
      {thumb.map((p) => (
        <Link key={p.id} href={p.href(meetingId ?? '')} aria-current={current(p)}>
          {p.label}
        </Link>
      ))}
      <MoreButton besides={thumb} />
    </nav>
  )
}
