'use client'
import { lazy, Suspense, useRef, useState, type ReactNode } from 'react'
import { LatePart } from './late-part'
import { loadAhead } from './load-ahead'

export interface MenuAct {
  id: string
  label: string
  detail?: string
  isDisabled?: boolean
  /** A link leaves the page, an act stays. */
  href?: string
  onAct?: () => void
}

const menuList = loadAhead(() => import('./menu-list'))
const MenuList = lazy(menuList)

/** Further acts behind one button. Arrow keys, first letters and Escape work. */
export function Menu({
  label,
  acts,
  button,
}: {
  label: string
  acts: readonly MenuAct[]
  button?: ReactNode
}) {
  const trigger = useRef<HTMLButtonElement>(null)
  const [open, setOpen] = useState(false)
  return (
    <>
      <button
        ref={trigger}
        type="button"
        className="btn"
        aria-label={label}
        aria-haspopup="menu"
        aria-expanded={open}
        onClick={() => setOpen(true)}
      >
        {button ?? 'More'}
      </button>
      {open && (
        <Suspense fallback={<LatePart part={menuList} onClose={() => setOpen(false)} />}>
          <MenuList label={label} acts={acts} trigger={trigger} onClose={() => setOpen(false)} />
        </Suspense>
      )}
    </>
  )
}
