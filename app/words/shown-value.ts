import {
  fieldDef,
  instantSchema,
  isShare,
  remarkSchema,
  resultSchema,
  type BoardView,
  heatName,
} from '@/lib/board'
import { FEEL_WORDS, remarkText, resultText } from './debrief-words'
import type { Json } from '@/lib/core/json'
import { settingText } from '@/lib/core/setting-text'
import { timeText } from '@/app/ui'
import { choiceText, type FieldOf } from './choice-text'

/** Which field a value is of. */
export interface ShownField extends FieldOf {
  /** Beyond the field's own: a card value's is its parameter's. */
  unit?: string | undefined
}

type Named = { name?: string | undefined; label?: string | undefined }

/** Fields that hold an id under a name that does not end so. */
const REFS = new Set(['packIn', 'tiresOn'])

/**
 * What a field held, in the words of the screens: ids as names, choices as their words, instants as times of day. A frozen record is only said to
 * be there. Empty for nothing.
 */
export function shownValue(view: BoardView, at: ShownField, value: Json | null): string {
  const def = fieldDef(at.doc, at.collection, at.field)
  const inner = plain(value)
  if (inner === null) return ''
  if (typeof inner === 'boolean') return inner ? 'yes' : 'no'
  if (typeof inner === 'number') {
    if (at.field === 'feel') return FEEL_WORDS[inner] ?? String(inner)
    if (def?.schema === instantSchema || inner > 1e11) return timeText(inner)
    if (isShare(at.collection, at.field)) return settingText(Number((inner * 100).toPrecision(9)), '%')
    const unit = at.unit ?? def?.unit
    return settingText(inner, unit)
  }
  if (typeof inner === 'string') {
    if (/Ids?$/.test(at.field) || REFS.has(at.field)) return nameOfId(view, inner)
    if (at.field === 'about') return aboutWords(view, inner)
    const unit = at.collection === 'cardValues' ? at.unit : undefined
    return unit ? settingText(inner, unit) : choiceText(at, inner)
  }
  if (Array.isArray(inner))
    return at.field === 'laps'
      ? `${inner.length} laps`
      : inner.every((one) => typeof one === 'string')
        ? inner.map((one) => shownValue(view, at, one)).join(', ')
        : `${inner.length} entries`
  if (typeof inner['by'] === 'string') return `signed, ${view.people.get(inner['by'])?.name ?? 'somebody'}`
  const remark = remarkSchema.safeParse(inner)
  if (remark.success) return remarkText(view, remark.data)
  const result = resultSchema.safeParse(inner)
  if (result.success) return resultText(result.data)
  return 'written'
}

/** What a field says, without who wrote it and when. */
export const plain = (value: Json | null): Json | null =>
  typeof value === 'object' && value !== null && !Array.isArray(value) && 'v' in value
    ? (value['v'] ?? null)
    : value

const aboutWords = (view: BoardView, about: string): string => {
  const id = about.slice(about.indexOf(':') + 1)
  return about === 'meeting' ? 'the meeting' : nameOfId(view, id)
}

/** By the name of what it stands for; an id that nobody can read is never shown. */
export function nameOfId(view: BoardView, id: string): string {
  if (id === '') return ''
  const run = view.entries.get(id)
  if (run) {
    const heat = view.heats.get(run.heatId)
    const who = view.cars.get(run.carId)?.name ?? run.driverName ?? 'an entry'
    return `${who}, ${heat ? heatName(heat) : 'heat ?'}`
  }
  const heat = view.heats.get(id)
  if (heat) return heatName(heat)
  const named: readonly (Named | undefined)[] = [
    view.packs.get(id),
    view.tireSets.get(id),
    view.people.get(id),
    view.cars.get(id),
    view.motors.get(id),
    view.controllers.get(id),
    view.chargers.get(id),
    view.tracks.get(id),
    view.classes.get(id),
    view.rounds.get(id),
    view.ruleSheets.get(id),
    view.checklists.get(id),
    view.followUpRules.get(id),
    view.handlingWords.get(id),
    view.rulesOfThumb.get(id),
    view.serviceRules.get(id),
  ]
  const found = named.find((r) => r !== undefined)
  return found?.name ?? found?.label ?? 'one that was removed'
}
