'use client'
import { useRef, useState, type KeyboardEvent, type ReactNode } from 'react'
import { Button, FormField } from '@/app/ui'
import { hasKeys } from '@/app/ui/has-keys'

export interface ChooseItem {
  id: string
  /** What its letters are compared with. */
  words: string
  /** What the choice does, for those who can't see the list. */
  says: string
  isDisabled?: boolean
  face: ReactNode
}

/** Fewer are seen at a glance. */
const FIND_FROM = 5

/**
 * One of a list, what fits first. With keys beside the screen whoever types narrows it down at once, Enter takes the first that is left and the arrows
 * walk; on a phone the field waits until it is tapped.
 */
export function ChooseList({
  items,
  onChoose,
}: {
  items: readonly ChooseItem[]
  onChoose: (id: string) => void
}) {
  const [text, setText] = useState('')
  const frame = useRef<HTMLDivElement>(null)
  const wanted = text.trim().toLowerCase()
  const found = items.filter((item) => item.words.toLowerCase().includes(wanted))
  const first = found.find((item) => !item.isDisabled)
  const walk = (e: KeyboardEvent) => {
    const to = e.key === 'ArrowDown' ? 1 : e.key === 'ArrowUp' ? -1 : 0
    if (to === 0) return
    const stops = [...(frame.current?.querySelectorAll<HTMLElement>('input, button:not(:disabled)') ?? [])]
    const next = stops[stops.indexOf(document.activeElement as HTMLElement) + to]
    if (!next) return
    e.preventDefault()
    next.focus()
  }
  return (
    <div ref={frame} onKeyDown={walk} className="choose">
      {items.length >= FIND_FROM && (
        <FormField
          label="Find"
          type="search"
          value={text}
          onChange={setText}
          autoFocus={hasKeys()}
          onEnter={() => first && onChoose(first.id)}
        />
      )}
      {found.length === 0 && items.length > 0 && <p role="status">No match.</p>}
      <ul className="choose-list">
        {found.map((item) => (
          <li key={item.id}>
            <Button
              wide
              isDisabled={item.isDisabled ?? false}
              onPress={() => onChoose(item.id)}
              aria-label={item.says}
            >
              {item.face}
            </Button>
          </li>
        ))}
      </ul>
    </div>
  )
}
