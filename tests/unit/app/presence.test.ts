import { describe, expect, it } from 'vitest'
import { deviceCount, presentPeople } from '@/app/sync/presence'

const states = (...entries: [number, unknown][]) => ({
  clientID: 99,
  getStates: () => new Map(entries) as Map<number, Record<string, unknown>>,
})
const ilse = { personId: 'ilse', name: 'Ilse', role: 'mechanic', deviceId: 'd1' }

describe('[S9] presence', () => {
  it('shows only people whom the server stamped', () => {
    const people = presentPeople(
      states(
        [1, { person: ilse, looking: { carId: 'rook' } }],
        [2, { looking: { carId: 'wren' } }],
        [3, { person: { ...ilse, role: 'admin' } }],
        [4, null],
        [5, 'text'],
      ),
      null,
    )
    expect(people).toEqual([
      {
        clientId: 1,
        ...ilse,
        looking: { meetingId: undefined, carId: 'rook', runId: undefined, valueId: undefined },
      },
    ])
  })
  it('what somebody looks at is text of a sane length or nothing', () => {
    const [p] = presentPeople(
      states([1, { person: ilse, looking: { carId: 7, runId: 'x'.repeat(500) } }]),
      null,
    )
    expect(p?.looking.carId).toBeUndefined()
    expect(p?.looking.runId).toBeUndefined()
  })
  it('counts devices, not tabs', () => {
    const people = presentPeople(
      states([1, { person: ilse }], [2, { person: ilse }], [3, { person: { ...ilse, deviceId: 'd2' } }]),
      null,
    )
    expect(deviceCount(people)).toBe(2)
  })
  it('one’s own identity is the session’s, whatever the own state says', () => {
    const me = { personId: 'bas', name: 'Bas', role: 'driver', deviceId: 'd3' } as const
    const people = presentPeople(states([99, { person: ilse }]), me)
    expect(people.map((p) => p.name)).toEqual(['Bas'])
  })
})
