'use client'
import { usePathname } from 'next/navigation'
import { useBoard } from '@/app/sync'
import { Link } from '@/app/ui'
import { KIT_SECTIONS, sectionHref } from './kit-sections'

/** The kit's lists with their sizes. Beside every kit page on a laptop; a page of its own on a phone. */
export function KitNav() {
  const view = useBoard()
  const path = usePathname()
  return (
    <nav className="kit-nav" aria-label="Kit">
      {KIT_SECTIONS.map((s) => {
        const href = sectionHref(s)
        const here = path === href || path.startsWith(`${href}/`)
        return (
          <Link key={s.slug} href={href} aria-current={here ? 'page' : undefined}>
            <span>{s.label}</span>
            <span className="num small">{view[s.collection].live.length}</span>
          </Link>
        )
      })}
      <Link href="/kit/labels" aria-current={path === '/kit/labels' ? 'page' : undefined}>
        Labels to print
      </Link>
      <Link href="/files">Files</Link>
    </nav>
  )
}
