import type * as Y from 'yjs'

const DAY = Date.UTC(2031, 4, 3, 8)

/**
 * A race board in the board's own encoding: per heat nine fields and one entry of five. Every server gets the same keys and values; only
 * ours knows what they mean.
 */
export function seedBoard(doc: Y.Doc, heats: number): void {
  const map = (name: string) => doc.getMap<unknown>(name)
  for (let from = 0; from < heats; from += 100)
    doc.transact(() => {
      for (let i = from; i < Math.min(heats, from + 100); i++) {
        const heat = (field: string, value: unknown) => map('heats').set(`h${i}:${field}`, value)
        heat('roundId', `round${i % 4}`)
        heat('classId', `class${i % 3}`)
        heat('number', i)
        heat('label', 'not run yet')
        heat('plannedStart', DAY + i * 480_000)
        heat('raceSeconds', 300)
        heat('order', i)
        heat('isBreak', false)
        heat('removed', false)
        const entry = (field: string, value: unknown) => map('entries').set(`e${i}:${field}`, value)
        entry('heatId', `h${i}`)
        entry('gridPosition', 1 + (i % 12))
        entry('carNumber', String(i))
        entry('transponder', String(4_000_000 + i))
        entry('driverName', `Driver number ${i} of the team from town ${i % 40}`)
      }
    })
}

/** One edit: two fields of one heat, the first carrying a mark to be recognised by. */
export function editHeat(doc: Y.Doc, heat: number, mark: string, n: number): void {
  doc.transact(() => {
    const heats = doc.getMap<unknown>('heats')
    heats.set(`h${heat}:label`, mark)
    heats.set(`h${heat}:order`, n)
  })
}
