'use client'
import { usePathname } from 'next/navigation'
import type { ReactNode } from 'react'
import { Link } from '../ui'
import { KitNav } from './kit-nav'

/** The kit's lists at the left of a laptop; on a phone a way back to them. */
export function KitFrame({ children }: { children: ReactNode }) {
  const path = usePathname()
  const isIndex = path === '/kit'
  return (
    <div className="page">
      <div className="kit-frame">
        <div className="only-wide">
          <KitNav />
        </div>
        <div className="grid gap-4 min-w-0">
          {!isIndex && (
            <p className="only-phone">
              <Link href="/kit" className="inline-flex items-center min-h-[var(--target)]">
                All of the kit
              </Link>
            </p>
          )}
          {children}
        </div>
      </div>
    </div>
  )
}
