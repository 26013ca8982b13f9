import { describe, expect, it } from 'vitest'
import { runEdit, startPlanned } from '@/lib/board'
import { ok } from '@/lib/core/result'
import { testBoard } from '../../support/board'
import { must } from '../../support/must'

const MIN = 60_000
const NOW = Date.UTC(2026, 4, 2, 9, 0)

interface Planned {
  packId?: string
  chargerId?: string
  channel?: number
  currentA?: number
}
const WHOLE: Planned = { packId: 'p1', chargerId: 'a', channel: 1, currentA: 5 }

/** One pack whose charge was planned for half an hour from 9:20 on. */
function planned(fields: Planned) {
  const b = testBoard()
  const m = { ...b.as('manager', 'boss'), clock: { now: () => NOW } }
  must(
    runEdit(m, 'seed', (w) => {
      w.kit('packs', 'p1', {
        label: 'P1',
        cells: 2,
        capacityMah: 5000,
        maxChargeC: 2,
        state: w.stamp('resting'),
      })
      w.kit('chargers', 'a', { label: 'A', channels: 2, channelCurrentA: 10, channelPowerW: 200 })
      w.meeting('charges', 'c', { ...fields, plannedStart: NOW + 20 * MIN, plannedEnd: NOW + 50 * MIN })
      return ok(undefined)
    }),
  )
  return { m, view: b.view, start: () => startPlanned(m, b.view(), 'c') }
}

describe('a planned charge that is put on', () => {
  it('runs from now on, as long as it was planned', () => {
    const day = planned(WHOLE)
    must(day.start())
    const charge = day.view().charges.get('c')
    expect([charge?.startedAt?.v, charge?.plannedEnd]).toEqual([NOW, NOW + 30 * MIN])
    expect(day.view().packs.get('p1')?.state?.v).toBe('charging')
  })

  it.each([
    ['pack', 'packId'],
    ['charger', 'chargerId'],
    ['channel', 'channel'],
    ['current', 'currentA'],
  ] as const)('without its %s is refused in words, and nothing is written', (word, field) => {
    const { [field]: _, ...rest } = WHOLE
    const day = planned(rest)
    const done = day.start()
    expect(done).toMatchObject({ ok: false, error: { field: 'Charge', reason: `has no ${word} any more` } })
    expect(day.view().charges.get('c')?.startedAt).toBeUndefined()
  })

  it('that is gone, or runs already, is refused', () => {
    const day = planned(WHOLE)
    expect(startPlanned(day.m, day.view(), 'other')).toMatchObject({
      ok: false,
      error: { reason: 'is no longer planned' },
    })
    must(day.start())
    expect(day.start()).toMatchObject({ ok: false, error: { value: 'P1', reason: 'is running already' } })
  })
})
