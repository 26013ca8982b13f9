import { settingText } from '@/lib/core/setting-text'
import type { BoardView, KitCollection } from '@/lib/board'
import type { NewField } from '@/app/record/add-record'
import type { FieldGroup } from '@/app/record/record-form'

/** One list of the kit: where it is, how a row reads, what a new record needs, and what its page shows. */
export interface KitSection {
  slug: string
  collection: Exclude<
    KitCollection,
    'meetings' | 'controllerParameters' | 'checklistItems' | 'packReadings' | 'serviceDone'
  >
  label: string
  /** One of them, in the middle of a sentence. */
  one: string
  /** What it is for, in the empty state and under the heading. */
  about: string
  newFields: readonly NewField[]
  groups: readonly FieldGroup[]
  /** The small line of a row. */
  detail: (view: BoardView, id: string) => string
}

/** The parts of a row's small line that there are. */
export const joined = (...parts: (string | number | false | null | undefined)[]) =>
  parts.filter((p) => p !== undefined && p !== null && p !== false && p !== '').join(', ')
export const withUnit = (value: number | undefined, unit: string) =>
  value === undefined ? '' : settingText(value, unit)
/** What every page of a record ends with. */
export const NOTE = { fields: [{ field: 'note', multiline: true, wide: true }] } as const

/** Of rules that are there from the start. */
export const COMMON_PRACTICE = {
  field: 'isCommonPractice',
  hint: 'Turn it off once the rule is your own.',
} as const
