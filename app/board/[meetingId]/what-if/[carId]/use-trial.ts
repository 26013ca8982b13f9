'use client'
import { useMemo, useState } from 'react'
import { checkSetting, type BoardView, type CardParameter, type Setting } from '@/lib/board'
import { cardRows, type Trial } from '@/lib/card'
import type { Refusal } from '@/lib/core/result'
import { parseNumber } from '@/lib/core/parse-number'

/** Motor, pack and tires of a trial stand beside the card's own values. */
export const TRIAL_PARTS = ['motor', 'pack', 'tires'] as const
export type TrialPart = (typeof TRIAL_PARTS)[number]

export interface TrialField {
  parameter: CardParameter
  /** What the card asks for, else has; null when neither. */
  today: Setting | null
  text: string
  refusal: Refusal | null
  isChanged: boolean
}

export interface TrialState {
  fields: TrialField[]
  parts: Partial<Record<TrialPart, string>>
  /** The trial values that fit, as lib/card reads them. */
  trial: Trial
  /** The first field that does not fit: then the last good projection stands. */
  refusal: Refusal | null
  changed: { parameter: CardParameter; today: Setting | null; value: Setting }[]
  setText: (parameterId: string, text: string) => void
  setPart: (part: TrialPart, id: string | null) => void
  reset: () => void
}

/** A trial of a card: any of its values, as text while it is being typed. Nothing is written to the board. */
export function useTrial(
  view: BoardView,
  carId: string,
  /** Values to begin with, as text, by parameter: a suggestion to be tried. */
  first: Readonly<Record<string, string>> = {},
): TrialState {
  const [texts, setTexts] = useState<Readonly<Record<string, string>>>(first)
  const [parts, setParts] = useState<Partial<Record<TrialPart, string>>>({})
  const rows = useMemo(() => cardRows(view, carId), [view, carId])
  const fields = rows.map((row): TrialField & { value: Setting | null } => {
    const p = row.parameter
    const today = row.assigned ?? row.fitted
    const text = texts[p.id] ?? (today === null ? '' : String(today))
    const read = readSetting(p, text)
    const value = read.refusal ? null : read.value
    return {
      parameter: p,
      today,
      text,
      value,
      refusal: texts[p.id] === undefined ? null : read.refusal,
      isChanged: texts[p.id] !== undefined && (read.refusal !== null || value !== today),
    }
  })
  const changed = fields.flatMap(({ parameter, today, value, isChanged }) =>
    isChanged && value !== null ? [{ parameter, today, value }] : [],
  )
  const key = JSON.stringify([changed.map((c) => [c.parameter.id, c.value]), parts])
  // The trial keeps its identity while it says the same, so that nothing is computed twice.
  const trial = useMemo((): Trial => {
    const [values, chosen] = JSON.parse(key) as [[string, Setting][], Partial<Record<TrialPart, string>>]
    return { ...Object.fromEntries(values), ...chosen }
  }, [key])
  return {
    fields,
    parts,
    trial,
    refusal: fields.find((f) => f.refusal)?.refusal ?? null,
    changed,
    setText: (id, text) => setTexts((t) => ({ ...t, [id]: text })),
    setPart: (part, id) =>
      setParts((p) => {
        const others = Object.fromEntries(Object.entries(p).filter(([key]) => key !== part))
        return id === null ? others : { ...others, [part]: id }
      }),
    reset: () => {
      setTexts({})
      setParts({})
    },
  }
}

function readSetting(p: CardParameter, text: string): { value: Setting | null; refusal: Refusal | null } {
  if (p.kind === 'text') {
    const check = checkSetting(p, text)
    return check.ok ? { value: text.trim() || null, refusal: null } : { value: null, refusal: check.error }
  }
  const parsed = parseNumber(p.label, text, { unit: p.unit })
  if (!parsed.ok) return { value: null, refusal: parsed.error }
  if (parsed.value === null) return { value: null, refusal: null }
  const check = checkSetting(p, parsed.value)
  return check.ok ? { value: parsed.value, refusal: null } : { value: null, refusal: check.error }
}
