import { fieldDef, type DocKind } from '@/lib/board'
import { choiceWord } from './choice-words'
import { PACK_STATE_ACTS } from './pack-states'
import { TIRE_STATE_WORDS } from './tire-states'

/** Which field a value is of. */
export interface FieldOf {
  doc: DocKind
  collection: string
  field: string
}

const TIRES: Readonly<Record<string, { word: string }>> = TIRE_STATE_WORDS

/** A choice by its word on the screens; what a person typed stays as it is. */
export function choiceText({ doc, collection, field }: FieldOf, text: string): string {
  if (field === 'state' && collection === 'packs')
    return PACK_STATE_ACTS.find((s) => s.state === text)?.word ?? text
  if (field === 'state' && collection === 'tireSets')
    return Object.hasOwn(TIRES, text) ? (TIRES[text]?.word ?? text) : text
  const schema = fieldDef(doc, collection, field)?.schema as { options?: readonly string[] } | undefined
  return schema?.options?.includes(text) ? choiceWord(text, field) : text
}
