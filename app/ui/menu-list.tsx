'use client'
import type { RefObject } from 'react'
import { Menu, MenuItem, Popover } from 'react-aria-components'
import { AriaRoot } from './aria-root'
import type { MenuAct } from './menu'

export interface MenuListProps {
  label: string
  acts: readonly MenuAct[]
  trigger: RefObject<HTMLElement | null>
  onClose: () => void
}

/** What the button of a `Menu` opens. */
export default function MenuList({ label, acts, trigger, onClose }: MenuListProps) {
  return (
    <AriaRoot>
      <Popover
        isOpen
        onOpenChange={(open) => !open && onClose()}
        triggerRef={trigger}
        className="popover"
        placement="bottom end"
        trigger="MenuTrigger"
      >
        <Menu
          aria-label={label}
          autoFocus="first"
          items={acts}
          disabledKeys={acts.filter((a) => a.isDisabled).map((a) => a.id)}
          className="outline-none"
          onClose={onClose}
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
        </Menu>
      </Popover>
    </AriaRoot>
  )
}
