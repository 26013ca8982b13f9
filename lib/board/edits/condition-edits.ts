import { newId } from '../../core/id'
import { rangeHintText, type NumberRange } from '../../core/parse-number'
import { ok, refuse, type Result } from '../../core/result'
import { fieldDef, type MeetingRecord } from '../collections'
import { runEdit, type EditContext } from '../write-session'

type Conditions = Omit<MeetingRecord<'conditions'>, 'id' | 'removed'>
/** What somebody read or saw at one moment: air and track in °C, humidity in %, grip as the collection says, and words. Each may be left out. */
export type ConditionsReading = {
  [F in keyof Conditions]?: NonNullable<Conditions[F]>['v'] | undefined
}

/** What the figures of the collection can be, for a form and for words that say so. */
export const CONDITION_RANGES = {
  airC: { min: -30, max: 60, unit: '°C' },
  trackC: { min: -30, max: 90, unit: '°C' },
  humidityPercent: { min: 0, max: 100, unit: '%' },
  grip: { min: 0.2, max: 2, unit: '' },
} as const satisfies Record<string, NumberRange>
export type ConditionFigure = keyof typeof CONDITION_RANGES
export const CONDITION_FIGURES = Object.keys(CONDITION_RANGES) as readonly ConditionFigure[]

/**
 * The conditions as they are now: a record of its own, so that the day keeps the earlier ones; of each value the latest counts. All values of a
 * reading carry one time.
 */
export function noteConditions(ctx: EditContext, { text, ...figures }: ConditionsReading): Result<string> {
  return runEdit(ctx, 'conditions', (w) => {
    const id: string = newId()
    const { by, at } = w
    for (const field of CONDITION_FIGURES) {
      const [v, range] = [figures[field], CONDITION_RANGES[field]]
      if (v != null && !(v >= range.min && v <= range.max))
        return refuse(
          fieldDef('meeting', 'conditions', field)?.label ?? field,
          v,
          'is out of range',
          `Enter a number ${rangeHintText(range)}.`,
        )
    }
    const said = Object.entries({ ...figures, text: text?.trim() || null }).filter(([, v]) => v != null)
    if (said.length === 0) return refuse('Conditions', '', 'hold no value', 'Enter at least one.')
    for (const [field, v] of said) w.put('meeting', 'conditions', id, field, { v: v ?? null, by, at })
    return ok(id)
  })
}
