import { collectionDef, collectionNames, type DocKind } from '@/lib/board'

export interface NamedList {
  /** `kit.cars` */
  id: string
  doc: DocKind
  collection: string
  label: string
}

const OTHERS: Readonly<Record<string, string>> = {
  people: 'People',
  meeting: 'Meeting',
  conditions: 'Conditions',
  ruleSheets: 'Class rules',
  rulesOfThumb: 'Rules of thumb',
  serviceDone: 'Service done',
}

function plural(collection: string, label: string): string {
  const other = OTHERS[collection]
  if (other) return other
  if (/(s|x|ch|sh)$/.test(label)) return `${label}es`
  return /[^aeiou]y$/.test(label) ? `${label.slice(0, -1)}ies` : `${label}s`
}

/** Every list of the board, the kit's first. */
export const namedLists = (docs: readonly DocKind[]): NamedList[] =>
  docs.flatMap((doc) =>
    collectionNames(doc).map((collection) => {
      const label = collectionDef(doc, collection)?.label ?? collection
      return { id: `${doc}.${collection}`, doc, collection, label: plural(collection, label) }
    }),
  )
