import { settingText } from '@/lib/core/setting-text'
import { REF_TARGETS, type BoardView } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import type { KitColumn } from '@/lib/kit-list'
import { choiceWord } from '@/app/words/choice-words'
import { nameOf } from '@/app/record/ref-options'

/** A kit field's value as a table shows it: names for references, words for choices, units behind numbers. */
export function valueWord(view: BoardView, column: KitColumn, value: Json | undefined): string {
  if (value === undefined || value === null) return ''
  if (column.ref && typeof value === 'string') return nameOf(view[REF_TARGETS[column.ref]].get(value))
  if (column.kind === 'choice' && typeof value === 'string') return choiceWord(value, column.field)
  if (typeof value === 'boolean') return value ? 'yes' : 'no'
  return typeof value === 'number' ? settingText(value, column.unit) : String(value)
}
