'use client'
import { useId, useRef, useState, type KeyboardEvent, type ReactNode } from 'react'

export interface TabDef {
  id: string
  label: string
  content: ReactNode
}

/** Several parts of which one is shown. Arrow keys, Home and End walk through the tabs (ARIA Authoring Practices, tabs that follow the focus). */
export function Tabs({
  label,
  tabs,
  selected,
  onSelect,
}: {
  label: string
  tabs: readonly TabDef[]
  selected?: string
  onSelect?: (id: string) => void
}) {
  const id = useId()
  const list = useRef<HTMLDivElement>(null)
  const [own, setOwn] = useState<string | null>(null)
  const shown = tabs.find((t) => t.id === (selected ?? own)) ?? tabs[0]
  if (!shown) return null
  const select = (tab: TabDef) => {
    setOwn(tab.id)
    onSelect?.(tab.id)
  }
  const onKeyDown = (e: KeyboardEvent) => {
    const at = tabs.indexOf(shown)
    const to = { ArrowRight: at + 1, ArrowLeft: at - 1 + tabs.length, Home: 0, End: tabs.length - 1 }[e.key]
    const next = to === undefined ? undefined : tabs[to % tabs.length]
    if (!next) return
    e.preventDefault()
    select(next)
    list.current?.querySelector<HTMLElement>(`[data-tab="${next.id}"]`)?.focus()
  }
  return (
    <div>
      <div ref={list} role="tablist" aria-label={label} className="tabs-list" onKeyDown={onKeyDown}>
        {tabs.map((t) => (
          <button
            key={t.id}
            type="button"
            role="tab"
            id={`${id}${t.id}`}
            data-tab={t.id}
            aria-selected={t === shown}
            aria-controls={`${id}panel`}
            tabIndex={t === shown ? 0 : -1}
            className="tab"
            onClick={() => select(t)}
          >
            {t.label}
          </button>
        ))}
      </div>
      <div
        role="tabpanel"
        id={`${id}panel`}
        aria-labelledby={`${id}${shown.id}`}
        tabIndex={0}
        className="pt-4 outline-none"
      >
        {shown.content}
      </div>
    </div>
  )
}
