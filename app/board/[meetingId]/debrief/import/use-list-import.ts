'use client'
import { useMemo, useState } from 'react'
import type { BoardView } from '@/lib/board'
import type { Refusal } from '@/lib/core/result'
import {
  AS_FOUND,
  planList,
  readList,
  type ListChoices,
  type ListPlan,
  type ListSettings,
  type UnderstoodList,
} from '@/lib/results'
import { decodeText } from '@/lib/tables'

export interface ListSource {
  name: string
  bytes: Uint8Array
}

/** From what was pasted or dropped to a plan, again whenever a setting or the board changes. Nothing is written on the way. */
export function useListImport(view: BoardView, start: Pick<ListChoices, 'heatId' | 'roundId'>) {
  const [source, setSource] = useState<ListSource | null>(null)
  const [settings, setSettings] = useState<ListSettings>(AS_FOUND)
  const [choices, setChoices] = useState<ListChoices>({ ...start, leaveOutBad: false })
  const read = useMemo((): { understood: UnderstoodList | null; refusal: Refusal | null } => {
    if (!source) return { understood: null, refusal: null }
    const text = decodeText(source.bytes)
    if (!text.ok) return { understood: null, refusal: text.error }
    const list = readList(text.value.text, settings)
    return list.ok ? { understood: list.value, refusal: null } : { understood: null, refusal: list.error }
  }, [source, settings])
  const plan = useMemo(
    (): ListPlan | null => read.understood && planList(view, read.understood.list, choices),
    [view, read, choices],
  )
  return {
    source,
    take: (next: ListSource | null) => {
      setSource(next)
      setSettings(AS_FOUND)
      setChoices((c) => ({ ...c, leaveOutBad: false }))
    },
    settings,
    change: (next: Partial<ListSettings>) => setSettings({ ...settings, ...next }),
    choices,
    choose: (next: Partial<ListChoices>) => setChoices({ ...choices, ...next }),
    ...read,
    plan,
  }
}
export type ListImport = ReturnType<typeof useListImport>
