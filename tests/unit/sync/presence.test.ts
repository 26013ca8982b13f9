import * as encoding from 'lib0/encoding'
import { describe, expect, it } from 'vitest'
import { FRAME } from '@/lib/sync/frames'
import { frame, syncDesk } from './sync-desk'

const presence = (states: [client: number, clock: number, state: unknown][]) =>
  frame(FRAME.awareness, (e) => {
    const body = encoding.createEncoder()
    encoding.writeVarUint(body, states.length)
    for (const [client, clock, state] of states) {
      encoding.writeVarUint(body, client)
      encoding.writeVarUint(body, clock)
      encoding.writeVarString(body, JSON.stringify(state))
    }
    encoding.writeVarUint8Array(e, encoding.toUint8Array(body))
  })

describe('presence', () => {
  it('[S9] carries the session’s identity, whatever the client claims', () => {
    const desk = syncDesk()
    const a = desk.phone('driver', 'dan')
    const b = desk.phone('manager', 'ann')
    a.send(presence([[7, 1, { at: 'card', person: { personId: 'ann', role: 'manager' } }]]))
    desk.endTurn()
    const person = { personId: 'dan', name: 'dan', role: 'driver', deviceId: a.session.deviceId }
    expect(b.presence.get(7)).toEqual({ at: 'card', person })
    // Late joiners are told as well.
    expect(desk.phone('guest').presence.get(7)).toEqual({ at: 'card', person })
  })

  it('[S9] a socket speaks for one client only and can’t remove or replace others', () => {
    const desk = syncDesk()
    const a = desk.phone('driver', 'dan')
    const mallory = desk.phone('driver', 'mal')
    a.send(presence([[7, 1, { at: 'card' }]]))
    desk.endTurn()
    mallory.send(presence([[7, 9, null]]))
    mallory.send(
      presence([
        [8, 1, { at: 'order' }],
        [7, 9, { at: 'hijacked' }],
        [9, 1, { at: 'crowd' }],
      ]),
    )
    desk.endTurn()
    const late = desk.phone('guest')
    expect([...late.presence.keys()].sort()).toEqual([7, 8])
    expect(late.presence.get(7)).toMatchObject({ at: 'card', person: { personId: 'dan' } })
  })

  it('[S9] ends with the socket, and moves to a newer socket of the same session', () => {
    const desk = syncDesk()
    const a = desk.phone('driver', 'dan')
    const b = desk.phone('manager', 'ann')
    a.send(presence([[7, 1, { at: 'card' }]]))
    desk.endTurn()
    a.disconnect()
    expect(b.presence.get(7)).toBeNull()
    a.connect()
    a.send(presence([[7, 5, { at: 'back' }]]))
    desk.endTurn()
    expect(b.presence.get(7)).toMatchObject({ at: 'back' })
  })

  it('[S9] states that are too large, no objects, or not newer are dropped', () => {
    const desk = syncDesk({ limits: { presenceBytes: 100 } })
    const a = desk.phone('driver', 'dan')
    const b = desk.phone('manager', 'ann')
    a.send(presence([[7, 3, { at: 'card' }]]))
    a.send(presence([[7, 4, { at: 'x'.repeat(200) }]]))
    a.send(presence([[7, 5, 'text']]))
    a.send(presence([[7, 2, { at: 'old' }]]))
    desk.endTurn()
    expect(b.presence.get(7)).toMatchObject({ at: 'card' })
  })
})
