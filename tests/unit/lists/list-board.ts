import { expect } from 'vitest'
import { buildDemo } from '@/demo/seed'
import { collectionNames, exportDoc, type BoardDocs, type EditContext } from '@/lib/board'
import { planList } from '@/lib/lists'
import { must } from '../../support/must'

export const NOW = Date.UTC(2026, 4, 2, 9)
export const lists = (['kit', 'meeting'] as const).flatMap((doc) =>
  collectionNames(doc).map((name) => [doc, name] as const),
)
export const docsOf = (): BoardDocs => {
  const { kit, today } = buildDemo(NOW)
  return { kit, meeting: today }
}
export const as = (
  docs: BoardDocs,
  role: EditContext['actor']['role'] = 'manager',
  personId = 'boss',
): EditContext => ({
  docs,
  actor: { personId, role },
  clock: { now: () => NOW },
})
export const everything = ({ kit, meeting }: BoardDocs) =>
  JSON.stringify([exportDoc('kit', kit), meeting && exportDoc('meeting', meeting)])
/** One cell of a written list, changed. */
export function edited(csv: string, id: string, header: string, change: (cell: string) => string): string {
  const rows = csv.split('\r\n').map((line) => line.split(','))
  const at = rows[0]?.indexOf(header) ?? -1
  expect(at).toBeGreaterThan(0)
  const row = rows.find((r) => r[0] === id)
  if (!row) throw new Error(`no row ${id}`)
  row[at] = change(row[at] ?? '')
  return rows.map((r) => r.join(',')).join('\r\n')
}

/** What a list of the kit plans once one of its cells was changed. */
export const planOfCell = (
  who: EditContext,
  collection: string,
  csv: string,
  id: string,
  header: string,
  change: (cell: string) => string,
) => must(planList(who, 'kit', collection, edited(csv, id, header, change)))
