import type { BoardView, MeetingRecord } from '@/lib/board'
import type { ConditionField } from '@/lib/card/projections/latest-condition'

type Conditions = MeetingRecord<'conditions'>
export const CONDITION_FIELDS = [
  'airC',
  'trackC',
  'humidityPercent',
  'grip',
  'text',
] as const satisfies readonly ConditionField[]

export interface SaidConditions {
  reading: Conditions
  by: string
  /** ms since the epoch */
  at: number
}

/** What was said of the conditions so far, newest first, with who said it last and when. What was removed or taken back is not told. */
export function conditionReadings(view: Pick<BoardView, 'conditions'>): SaidConditions[] {
  return view.conditions.live
    .flatMap((reading) => {
      const stamps = CONDITION_FIELDS.flatMap((f) => {
        const stamp = reading[f]
        return stamp && stamp.v !== null ? [stamp] : []
      })
      const [first, ...rest] = stamps
      if (!first) return []
      const { by, at } = rest.reduce<{ by: string; at: number }>((a, b) => (b.at > a.at ? b : a), first)
      return [{ reading, by, at }]
    })
    .sort((a, b) => b.at - a.at)
}
