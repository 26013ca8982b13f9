import type * as Y from 'yjs'
import type { Json } from '../../core/json'
import { writeField } from '../board-doc'
import { STARTER_CHECKLISTS } from './checklists'
import { STARTER_FOLLOW_UP_RULES } from './follow-up-rules'
import { STARTER_HANDLING_WORDS } from './handling-words'
import { STARTER_RULE_SHEETS } from './rule-sheets'
import { STARTER_RULES_OF_THUMB } from './rules-of-thumb'
import { STARTER_SERVICE_RULES } from './service-rules'

/** One record of the starter kit, ready to write. */
export interface StarterRecord {
  collection:
    | 'checklists'
    | 'checklistItems'
    | 'followUpRules'
    | 'ruleSheets'
    | 'handlingWords'
    | 'rulesOfThumb'
    | 'serviceRules'
  id: string
  fields: Record<string, Json>
}

/** All records of the starter kit, with fixed ids: two servers that write it give the same kit. */
export function starterRecords(): StarterRecord[] {
  const records: StarterRecord[] = []
  const add = (
    collection: StarterRecord['collection'],
    id: string,
    fields: Record<string, Json | undefined>,
  ) =>
    records.push({
      collection,
      id,
      fields: Object.fromEntries(
        Object.entries(fields).filter((e): e is [string, Json] => e[1] !== undefined),
      ),
    })
  STARTER_CHECKLISTS.forEach((list, order) => {
    add('checklists', list.id, { name: list.name, kind: list.kind, order })
    list.items.forEach((item, at) =>
      add('checklistItems', item.id, {
        checklistId: list.id,
        text: item.text,
        caution: 'caution' in item ? item.caution : undefined,
        fact: 'fact' in item ? item.fact : undefined,
        order: at,
      }),
    )
  })
  STARTER_FOLLOW_UP_RULES.forEach((rule, order) =>
    add('followUpRules', rule.id, {
      name: rule.name,
      triggers: [...rule.triggers],
      checklistId: rule.checklistId,
      closedBy: rule.closedBy,
      caution: rule.caution,
      order,
    }),
  )
  for (const { id, ...fields } of STARTER_RULE_SHEETS) add('ruleSheets', id, fields)
  STARTER_HANDLING_WORDS.forEach(({ id, ...fields }, order) => add('handlingWords', id, { ...fields, order }))
  STARTER_RULES_OF_THUMB.forEach(({ id, ...fields }, order) =>
    add('rulesOfThumb', id, { ...fields, isCommonPractice: true, order }),
  )
  STARTER_SERVICE_RULES.forEach(({ id, ...fields }, order) =>
    add('serviceRules', id, { ...fields, isCommonPractice: true, order }),
  )
  return records
}

/**
 * Write what a new team's kit holds from the first day. Never overwrites: a record of which anything is there, be it changed, emptied or
 * removed by the team, is left alone, so a second call changes nothing. None of these records is signed, so no time is needed.
 */
export function writeStarterKit(doc: Y.Doc): void {
  doc.transact(() => {
    for (const { collection, id, fields } of starterRecords()) {
      const map = doc.getMap<Json>(collection)
      if ([...map.keys()].some((key) => key.startsWith(`${id}:`))) continue
      for (const [field, value] of Object.entries(fields)) writeField(doc, collection, id, field, value)
    }
  })
}
