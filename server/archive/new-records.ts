import type { ComparedRoom } from './compare-room'

/** Which records of a room are new here. */
export function isNewRecords({ values }: ComparedRoom) {
  const ids = new Set(values.flatMap((v) => (v.verdict === 'added' ? [`${v.collection}/${v.recordId}`] : [])))
  return {
    any: ids.size > 0,
    has: (e: { collection: string; recordId: string }) => ids.has(`${e.collection}/${e.recordId}`),
  }
}
