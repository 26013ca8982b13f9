'use client'
import type { ReactNode } from 'react'
import { Tab, TabList, TabPanel, Tabs as AriaTabs, type Key } from 'react-aria-components'

export interface TabDef {
  id: string
  label: string
  content: ReactNode
}

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
  return (
    <AriaTabs selectedKey={selected} onSelectionChange={(k: Key) => onSelect?.(String(k))}>
      <TabList aria-label={label} className="tabs-list">
        {tabs.map((t) => (
          <Tab key={t.id} id={t.id} className="tab">
            {t.label}
          </Tab>
        ))}
      </TabList>
      {tabs.map((t) => (
        <TabPanel key={t.id} id={t.id} className="pt-4 outline-none">
          {t.content}
        </TabPanel>
      ))}
    </AriaTabs>
  )
}
