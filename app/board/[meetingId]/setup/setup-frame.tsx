'use client'
import { useParams, usePathname } from 'next/navigation'
import type { ReactNode } from 'react'
import { useBoard } from '@/app/sync'
import { Link } from '@/app/ui'

/** The parts of a meeting's setup, each with what it holds so far. */
export function SetupFrame({ children }: { children: ReactNode }) {
  const view = useBoard()
  const path = usePathname()
  const { meetingId } = useParams<{ meetingId: string }>()
  const base = `/board/${meetingId}/setup`
  const heats = view.heats.live.filter((h) => !h.isBreak)
  const parts = [
    { href: base, label: 'Meeting', sum: '' },
    { href: `${base}/classes`, label: 'Classes', sum: String(view.classes.live.length) },
    { href: `${base}/import`, label: 'Import', sum: '' },
    { href: `${base}/heats`, label: 'Heats', sum: String(heats.length) },
    { href: `/board/${meetingId}/files`, label: 'Files', sum: '' },
  ]
  return (
    <div className="page">
      <div className="kit-frame">
        <nav className="kit-nav setup-nav" aria-label="Meeting setup">
          {parts.map((p) => (
            <Link
              key={p.href}
              href={p.href}
              aria-current={
                path === p.href || (p.href !== base && path.startsWith(`${p.href}/`)) ? 'page' : undefined
              }
            >
              <span>{p.label}</span>
              {p.sum && <span className="num small">{p.sum}</span>}
            </Link>
          ))}
        </nav>
        <div className="grid gap-4 min-w-0">{children}</div>
      </div>
    </div>
  )
}
