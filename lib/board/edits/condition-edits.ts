import { newId } from '../../core/id'
import { rangeHintText, type NumberRange } from '../../core/parse-number'
import { ok, refuse, type Result } from '../../core/result'
import type { MeetingRecord } from '../collections'
import { describeField } from '../field-face'
import { runEdit, type EditContext } from '../write-session'

type Conditions = Omit<MeetingRecord<'conditions'>, 'id' | 'removed'>
/** What somebody read or saw at one moment: air and track in °C, humidity in %, grip as the collection says, and words. Each may be left out. */
export type ConditionsReading = {
  [F in keyof Conditions]?: NonNullable<Conditions[F]>['v'] | undefined
}

export const CONDITION_FIGURES = ['airC', 'trackC', 'humidityPercent', 'grip'] as const
export type ConditionFigure = (typeof CONDITION_FIGURES)[number]

/** What a figure is called and can be, for a form and for words that say so. */
export function conditionFace(
  figure: ConditionFigure,
): Required<Omit<NumberRange, 'step'>> & { label: string } {
  const { label, unit, min = -Infinity, max = Infinity } = describeField('meeting', 'conditions', figure)
  return { label, unit, min, max }
}

/**
 * The conditions as they are now: a record of its own, so that the day keeps the earlier ones; of each value the latest counts. All values of a
 * reading carry one time.
 */
export function noteConditions(ctx: EditContext, { text, ...figures }: ConditionsReading): Result<string> {
  return runEdit(ctx, 'conditions', (w) => {
    const id: string = newId()
    const { by, at } = w
    for (const field of CONDITION_FIGURES) {
      const [v, face] = [figures[field], conditionFace(field)]
      if (v != null && !(v >= face.min && v <= face.max))
        return refuse(face.label, v, 'is out of range', `Enter a number ${rangeHintText(face)}.`)
    }
    const said = Object.entries({ ...figures, text: text?.trim() || null }).filter(([, v]) => v != null)
    if (said.length === 0) return refuse('Conditions', '', 'hold no value', 'Enter at least one.')
    for (const [field, v] of said) w.put('meeting', 'conditions', id, field, { v: v ?? null, by, at })
    return ok(id)
  })
}
