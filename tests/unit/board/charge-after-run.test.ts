import { expect, test } from 'vitest'
import { noteCharge, startCharge, stopCharge, takePlan } from '@/lib/board'
import { afterTheFlag } from '../../support/after-the-flag'
import { must } from '../../support/must'

const onCharge = (d: ReturnType<typeof afterTheFlag> & { later: { now: number } }, chargeId: string) =>
  must(
    startCharge({ ...d.ilse, clock: { now: () => d.later.now } }, d.view(), {
      chargeId,
      packId: 'P01',
      runId: d.runs.rook2,
      chargerId: 'C1',
      channel: 1,
      currentA: 5,
      expectedEnd: d.later.now + 1_800_000,
    }),
  )

test('taking the pack off charge writes what went in, and its voltage before, with the run that it came out of', () => {
  const d = { ...afterTheFlag(), later: { now: 0 } }
  d.later.now = d.now + 600_000
  onCharge(d, 'c1')
  must(
    stopCharge(d.ilse, d.view(), {
      chargeId: 'c1',
      full: true,
      chargedMah: 2650,
      endVoltageV: 8.4,
      restBeforeV: 7.62,
    }),
  )
  expect(d.view().runs.get(d.runId)).toMatchObject({
    chargeBackMah: { v: 2650, by: 'ilse' },
    restVoltageV: { v: 7.62 },
  })
  expect(d.view().runs.get(d.runs.rook2)?.chargeBackMah).toBeUndefined()
})

test('a charge in two parts is one: their sum is noted once it is full', () => {
  const d = { ...afterTheFlag(), later: { now: 0 } }
  d.later.now = d.now + 600_000
  onCharge(d, 'c1')
  d.later.now += 60_000
  const at = (ms: number) => ({ ...d.ilse, clock: { now: () => ms } })
  must(stopCharge(at(d.later.now), d.view(), { chargeId: 'c1', full: false, chargedMah: 900 }))
  expect(d.view().runs.get(d.runId)?.chargeBackMah).toBeUndefined()
  d.later.now += 60_000
  onCharge(d, 'c1')
  must(stopCharge(at(d.later.now + 60_000), d.view(), { chargeId: 'c1', full: true, chargedMah: 1700 }))
  expect(d.view().runs.get(d.runId)?.chargeBackMah?.v).toBe(2600)
})

test('a figure that somebody entered is not written over by the charger’s', () => {
  const d = { ...afterTheFlag(), later: { now: 0 } }
  must(noteCharge(d.ilse, d.view(), { runId: d.runId, chargeBackMah: 2500 }))
  d.later.now = d.now + 600_000
  onCharge(d, 'c1')
  must(stopCharge(d.ilse, d.view(), { chargeId: 'c1', full: true, chargedMah: 2650 }))
  expect(d.view().runs.get(d.runId)?.chargeBackMah?.v).toBe(2500)
})

/** The pack of the run that is over, charged once or more: each charge ten minutes after the one before. */
function charging() {
  const d = { ...afterTheFlag(), later: { now: 0 } }
  d.later.now = d.now
  const charge = (chargeId: string, done: { full: boolean; chargedMah?: number; restBeforeV?: number }) => {
    d.later.now += 600_000
    onCharge(d, chargeId)
    const at = d.later.now + 300_000
    return stopCharge({ ...d.ilse, clock: { now: () => at } }, d.view(), { chargeId, ...done })
  }
  return { ...d, charge, noted: () => d.view().runs.get(d.runId) }
}

test('a pack that has been full since the run is topped up: the run keeps what it took', () => {
  const d = charging()
  must(d.charge('c1', { full: true, chargedMah: 2400, restBeforeV: 7.6 }))
  must(d.charge('c2', { full: true, chargedMah: 150, restBeforeV: 8.3 }))
  expect(d.noted()).toMatchObject({ chargeBackMah: { v: 2400 }, restVoltageV: { v: 7.6 } })
})

test('the first full charge had no figure: the one that tops it up is not the run’s', () => {
  const d = charging()
  must(d.charge('c1', { full: true }))
  must(d.charge('c2', { full: true, chargedMah: 150 }))
  expect(d.noted()?.chargeBackMah).toBeUndefined()
})

test.each(['c1', 'c2'])(
  'a part without a figure: the rest is not the whole (second part in %s)',
  (second) => {
    const d = charging()
    must(d.charge('c1', { full: false }))
    must(d.charge(second, { full: true, chargedMah: 1700 }))
    expect(d.noted()?.chargeBackMah).toBeUndefined()
  },
)

test('the voltage before a second part is not that after the run', () => {
  const d = charging()
  must(d.charge('c1', { full: false, chargedMah: 900, restBeforeV: 7.6 }))
  must(d.charge('c2', { full: true, chargedMah: 1700, restBeforeV: 7.9 }))
  expect(d.noted()).toMatchObject({ chargeBackMah: { v: 2600 }, restVoltageV: { v: 7.6 } })
})

test('one charge is taken off once: a second phone with the dialog open counts no other cycle', () => {
  const d = charging()
  must(d.charge('c1', { full: true, chargedMah: 2400 }))
  const cycles = d.view().packs.get('P01')?.cycles
  const again = stopCharge(d.m, d.view(), { chargeId: 'c1', full: true, chargedMah: 2400 })
  expect(again).toMatchObject({ ok: false, error: { reason: 'has been taken off already' } })
  expect(d.view().packs.get('P01')?.cycles).toBe(cycles)
})

test('a planned charge that goes to another pack leaves the figure of the one before behind', () => {
  const d = charging()
  const runId = d.runs.rook2
  must(d.charge(runId, { full: false, chargedMah: 900 }))
  must(
    takePlan(d.m, d.view(), [
      {
        runId,
        packId: 'P02',
        charge: { chargerId: 'C1', channel: 1, currentA: 5, startAt: d.later.now, endAt: d.later.now + 1 },
      },
    ]),
  )
  expect(d.view().charges.get(runId)).toMatchObject({ packId: 'P02', chargedMah: { v: null } })
})
