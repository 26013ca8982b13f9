'use client'
import type { ReactNode } from 'react'
import { Button, Menu as AriaMenu, MenuItem, MenuTrigger, Popover } from 'react-aria-components'

export interface MenuAct {
  id: string
  label: string
  detail?: string
  isDisabled?: boolean
  /** A link leaves the page, an act stays. */
  href?: string
  onAct?: () => void
}

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
  return (
    <MenuTrigger>
      <Button className="btn" aria-label={label}>
        {button ?? 'More'}
      </Button>
      <Popover className="popover" placement="bottom end">
        <AriaMenu
          aria-label={label}
          items={acts}
          disabledKeys={acts.filter((a) => a.isDisabled).map((a) => a.id)}
          className="outline-none"
        >
          {(act) => (
            <MenuItem
              id={act.id}
              href={act.href}
              onAction={act.onAct}
              className="option"
              textValue={act.label}
            >
              <span>{act.label}</span>
              {act.detail && <span className="small">{act.detail}</span>}
            </MenuItem>
          )}
        </AriaMenu>
      </Popover>
    </MenuTrigger>
  )
}
