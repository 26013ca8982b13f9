'use client'
import { usePathname } from 'next/navigation'
import { useSyncPart } from '@/app/sync'
import { Link } from '@/app/ui/link'
import { isAt, placesFor, type Place } from '@/app/ui/navigation'
import { ThemeSwitch } from './theme-switch'
import { useCurrentMeeting } from './use-current-meeting'

/**
 * All places that somebody may find and that do not stand in the navigation itself.
 *
 * @param besides those that do
 */
export default function MoreList({ besides, onChosen }: { besides: readonly Place[]; onChosen: () => void }) {
  const membership = useSyncPart((s) => s.membership)
  const path = usePathname()
  const meetingId = useCurrentMeeting()
  if (membership.state !== 'member') return null
  const rest = placesFor(membership.session.role).filter(
    (p) => (meetingId !== null || !p.needsMeeting) && !besides.includes(p),
  )
  return (
    <>
      <ul className="ruled -mx-[var(--gutter)] -mt-4">
        {rest.map((p) => (
          <li key={p.id}>
            <Link
              href={p.href(meetingId ?? '')}
              className="option"
              aria-current={isAt(p, path, meetingId ?? '') ? 'page' : undefined}
              onClick={onChosen}
            >
              <span className="font-semibold">{p.label}</span>
              <span className="small text-right">{p.about}</span>
            </Link>
          </li>
        ))}
      </ul>
      <ThemeSwitch />
    </>
  )
}
