import { fieldDef, parameterOf, splitId, type BoardView, type DocKind, heatName } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import type { HistoryEntry } from '@/lib/sync/history-api'
import type { HistoryLine } from './history-list'
import { plain, shownValue } from '@/app/words/shown-value'

const CARD_FIELDS: Record<string, string> = {
  assigned: 'assigned',
  fitted: 'fitted',
  cycled: 'switched off and on again',
  readBack: 'read back',
  cannot: 'can’t be fitted',
}

const whyOf = (value: Json | null): string | undefined =>
  typeof value === 'object' && value !== null && !Array.isArray(value) && typeof value['why'] === 'string'
    ? value['why']
    : undefined

/** The car that a line of the meeting's trail is about; null when it is about none. */
export function carOfEntry(view: BoardView, e: HistoryEntry): string | null {
  const carOfRun = (id: string) => view.entries.get(id)?.carId ?? null
  switch (e.collection) {
    case 'cardValues':
    case 'followUps':
      return splitId(e.recordId)[0]
    case 'lapMarks':
    case 'remarks':
      return carOfRun(splitId(e.recordId)[0])
    case 'checks': {
      const [head] = splitId(e.recordId)
      return carOfRun(head) ?? (view.cars.get(head) ? head : null)
    }
    case 'runs':
    case 'entries':
      return carOfRun(e.recordId)
    case 'proposals':
      return view.proposals.get(e.recordId)?.carId ?? null
    case 'jobs':
      return view.jobs.get(e.recordId)?.carId ?? null
    case 'notes': {
      const [kind, id] = (view.notes.get(e.recordId)?.about ?? '').split(':')
      return kind === 'car' ? (id ?? null) : kind === 'run' ? carOfRun(id ?? '') : null
    }
    case 'cars':
      return e.recordId
    default:
      return null
  }
}

/** Fields that only hold a list together, and a blank or a “no” that was there before anybody wrote it: the other lines say what was done. */
export const isBookkeeping = (e: HistoryEntry): boolean =>
  e.field === 'order' ||
  (e.collection === 'notes' && e.field === 'about') ||
  (saysNothing(e.before) && saysNothing(e.after))

const saysNothing = (value: Json | null): boolean => {
  const inner = plain(value)
  return inner === null || inner === false || inner === ''
}

/** A line of the trail in the words of the screens. */
export function historyLine(view: BoardView, e: HistoryEntry): HistoryLine {
  const doc: DocKind = e.room === 'kit' ? 'kit' : 'meeting'
  const def = fieldDef(doc, e.collection, e.field)
  const carId = carOfEntry(view, e)
  const car = carId ? (view.cars.get(carId)?.name ?? 'a removed car') : null
  const thing = thingOf(view, e)
  const unit = e.collection === 'cardValues' ? unitOf(view, e) : undefined
  const field = e.collection === 'cardValues' ? CARD_FIELDS[e.field] : def?.label.toLowerCase()
  const show = (value: Json | null) =>
    shownValue(view, { doc, collection: e.collection, field: e.field, unit }, value)
  return {
    what: [car, thing.replace(/\.$/, ''), field ?? 'a field'].filter(Boolean).join(', '),
    before: show(e.before),
    after: show(e.after),
    why: whyOf(e.after),
  }
}

function unitOf(view: BoardView, e: HistoryEntry): string {
  const [carId, parameterId] = splitId(e.recordId)
  return parameterOf(view, carId, parameterId)?.unit ?? ''
}

function thingOf(view: BoardView, e: HistoryEntry): string {
  const [head, tail] = splitId(e.recordId)
  switch (e.collection) {
    case 'cardValues':
      return parameterOf(view, head, tail)?.label ?? 'a value'
    case 'followUps':
      return view.followUpRules.get(tail)?.name ?? 'a follow-up'
    case 'checks':
      return view.checklistItems.get(tail)?.text ?? 'a check'
    case 'lapMarks':
      return `lap ${tail}`
    case 'remarks':
    case 'runs':
    case 'entries': {
      const heat = view.heats.get(view.entries.get(head)?.heatId)
      return heat ? heatName(heat) : 'an entry'
    }
    case 'heats': {
      const heat = view.heats.get(e.recordId)
      return heat ? heatName(heat) : 'heat ?'
    }
    case 'proposals': {
      const p = view.proposals.get(e.recordId)
      return p?.carId && p.parameter
        ? (parameterOf(view, p.carId, p.parameter)?.label ?? 'proposal')
        : 'proposal'
    }
    case 'conditions':
      return e.field === 'text' ? '' : 'conditions'
    case 'charges':
      return view.packs.get(view.charges.get(e.recordId)?.packId)?.label ?? 'a charge'
    case 'packs':
      return view.packs.get(e.recordId)?.label ?? 'a pack'
    case 'tireSets':
      return view.tireSets.get(e.recordId)?.label ?? 'a tire set'
    case 'classes':
      return view.classes.get(e.recordId)?.name ?? 'a class'
    case 'rounds':
      return view.rounds.get(e.recordId)?.name ?? 'a round'
    default:
      return ''
  }
}
