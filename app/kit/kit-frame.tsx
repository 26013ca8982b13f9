'use client'
import { usePathname } from 'next/navigation'
import type { ReactNode } from 'react'
import { NextStep } from '@/app/first-steps/next-step'
import { Link } from '@/app/ui'
import { KitNav } from './kit-nav'
import { sectionHref, sectionOf } from './kit-sections'

/** The kit's lists at the left of a laptop; above each page the way back. */
export function KitFrame({ children }: { children: ReactNode }) {
  return (
    <div className="page">
      <div className="kit-frame">
        <div className="only-wide">
          <KitNav />
        </div>
        <div className="grid gap-4 min-w-0">
          <WayBack />
          <NextStep />
          {children}
        </div>
      </div>
    </div>
  )
}

/** `Kit / Packs` on a pack's page; on a laptop, where the lists stand beside it, only on pages of one record. */
function WayBack() {
  const [, , slug, recordId] = usePathname().split('/')
  const section = slug ? sectionOf(slug) : undefined
  if (!section) return null
  const link = 'inline-flex items-center min-h-[var(--target)]'
  return (
    <nav aria-label="Back" className={recordId ? '' : 'only-phone'}>
      <Link href="/kit" className={link}>
        Kit
      </Link>
      {recordId && (
        <>
          {' '}
          <span aria-hidden="true">/</span>{' '}
          <Link href={sectionHref(section)} className={link}>
            {section.label}
          </Link>
        </>
      )}
    </nav>
  )
}
