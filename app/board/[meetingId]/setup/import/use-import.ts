'use client'
import { useCallback, useMemo, useState } from 'react'
import type { BoardView } from '@/lib/board'
import {
  dayOfInstant,
  guessLayout,
  layoutFor,
  localInstant,
  NO_CHOICES,
  planImport,
  readRunningOrder,
  type ColumnLayout,
  type ColumnRole,
  type ImportChoices,
  type ImportPlan,
  type ReadingChoices,
  type RunningOrder,
} from '@/lib/running-order'
import { decodeText, readTable, type DecodedText, type Separation, type Table } from '@/lib/tables'
import type { Refusal } from '@/lib/core/result'
import { hereAs } from '@/lib/core/zone'

/** What was dropped or pasted. */
export interface Source {
  name: string
  bytes: Uint8Array
  pasted: boolean
}

/** How far the file was understood; each step rests on the one above it. */
export interface Understood {
  text: DecodedText | null
  table: Table | null
  layout: ColumnLayout | null
  order: RunningOrder | null
  plan: ImportPlan | null
  /** Why it went no further. */
  refusal: Refusal | null
}

interface Settings {
  encoding: string | null
  by: Separation | null
  /** Null: as found. */
  headerLines: number[] | null
  roles: readonly ColumnRole[] | null
  reading: Partial<ReadingChoices>
}
const AS_FOUND: Settings = { encoding: null, by: null, headerLines: null, roles: null, reading: {} }
const NOTHING: Understood = { text: null, table: null, layout: null, order: null, plan: null, refusal: null }

/** The whole way from bytes to a plan, worked out anew whenever a setting or the board changes. Nothing is written on the way. */
export function useImport(view: BoardView) {
  const [source, setSource] = useState<Source | null>(null)
  const [settings, setSettings] = useState<Settings>(AS_FOUND)
  const [choices, setChoices] = useState<ImportChoices>(NO_CHOICES)

  const { startsAt, zone } = view.meeting.get('meeting') ?? {}
  const reading = useMemo(
    (): ReadingChoices => ({
      firstDay: dayOfInstant(startsAt === undefined ? Date.now() : hereAs(startsAt, zone)),
      dateOrder: 'day-first',
      defaultRound: 'Round 1',
      defaultClass: '',
      rollOver: true,
      toInstant: localInstant,
      ...settings.reading,
    }),
    [startsAt, zone, settings.reading],
  )
  const read = useMemo(
    () => (source ? understand(source, settings, reading) : NOTHING),
    [source, settings, reading],
  )
  const plan = useMemo(
    () => (read.order ? planImport(view, read.order, choices) : null),
    [view, read.order, choices],
  )

  const take = useCallback((next: Source | null) => {
    setSource(next)
    setSettings(AS_FOUND)
    setChoices(NO_CHOICES)
  }, [])
  return {
    source,
    take,
    settings,
    /** Settings further up throw away what rested on them. */
    change: (next: Partial<Settings>) =>
      setSettings({
        ...settings,
        ...(('encoding' in next || 'by' in next) && { headerLines: null, roles: null }),
        ...('headerLines' in next && { roles: null }),
        ...next,
      }),
    reading,
    changeReading: (next: Partial<ReadingChoices>) =>
      setSettings({ ...settings, reading: { ...settings.reading, ...next } }),
    choices,
    choose: (next: Partial<ImportChoices>) => setChoices({ ...choices, ...next }),
    understood: { ...read, plan },
  }
}
export type Import = ReturnType<typeof useImport>

function understand(source: Source, settings: Settings, reading: ReadingChoices): Understood {
  const text = decodeText(source.bytes, settings.encoding ?? undefined)
  if (!text.ok) return { ...NOTHING, refusal: text.error }
  const table = readTable(text.value.text, settings.by ?? undefined)
  if (!table.ok) return { ...NOTHING, text: text.value, refusal: table.error }
  const found =
    settings.headerLines === null
      ? guessLayout(table.value.rows)
      : layoutFor(table.value.rows, settings.headerLines)
  const layout = settings.roles ? { ...found, roles: [...settings.roles] } : found
  const order = readRunningOrder(table.value, layout, reading)
  return { text: text.value, table: table.value, layout, order, plan: null, refusal: null }
}
