import { IDBFactory } from 'fake-indexeddb'
import { describe, expect, it, vi } from 'vitest'
import { deviceStores } from './device-stores'
import { device, roomTabs } from './room-tabs'
import { whileTimersStand } from './while-timers-stand'

const { network, openTab } = roomTabs()
const { lose } = deviceStores()

describe('a socket that is open and dead', () => {
  it(
    'is replaced when it leaves a probe unanswered',
    whileTimersStand(async () => {
      const { room } = await openTab()
      const [first] = network().sockets
      first!.send = () => undefined
      vi.advanceTimersByTime(25_000)
      await network().settle()
      expect(room.snapshot.connection).toBe('live')
      expect([...network().sockets]).not.toContain(first)
    }),
  )

  it(
    'a socket that answers stays',
    whileTimersStand(async () => {
      await openTab()
      const [first] = network().sockets
      for (let i = 0; i < 30; i++) {
        vi.advanceTimersByTime(1000)
        await network().settle()
      }
      expect([...network().sockets]).toEqual([first])
    }),
  )
})

describe('[S18] somebody looks again', () => {
  it(
    'a socket that died while the phone slept is not called live two seconds later',
    whileTimersStand(async () => {
      const { room } = await openTab()
      const [dead] = network().sockets
      dead!.send = () => undefined
      network().answersTheDoor = false
      room.checkLine()
      vi.advanceTimersByTime(2000)
      await network().settle()
      expect(room.snapshot.connection).not.toBe('live')
      expect([...network().sockets]).not.toContain(dead)
    }),
  )

  it(
    'a line that answers is left alone',
    whileTimersStand(async () => {
      const { room } = await openTab()
      const before = [...network().sockets]
      room.checkLine()
      await network().settle()
      vi.advanceTimersByTime(2000)
      await network().settle()
      expect([...network().sockets]).toEqual(before)
      expect(room.snapshot.connection).toBe('live')
    }),
  )

  it(
    'a line that is down is opened at once, whatever the provider’s back-off',
    whileTimersStand(async () => {
      const { room } = await openTab()
      network().up = false
      network().cut()
      await network().settle()
      expect(room.snapshot.connection).not.toBe('live')
      network().up = true
      room.checkLine()
      // No time passes: nothing waits for a timer.
      await network().settle()
      expect(room.snapshot.connection).toBe('live')
    }),
  )
})

describe('[S19] a store that is lost', () => {
  it('is opened again and gets all that the page holds, the unsent edit with its mark', async () => {
    network().up = false
    const { room, store, rename, mark } = await openTab(device()(), { connect: false })
    rename('rook', 'Rook')
    await store.settled()
    // The browser throws the database away, and with it the connection.
    const states: string[] = []
    store.onSignal(() => states.push(store.signal.state))
    const reopened = new Promise<void>((resolve) => store.onReopened(resolve))
    globalThis.indexedDB = new IDBFactory()
    lose()
    await reopened
    await store.settled()
    expect(states).toContain('failed')
    expect(store.signal.state).toBe('stored')
    expect(mark('rook')).toBe('phone')
    room.close()
    const again = await openTab(device()(), { connect: false })
    expect(again.room.doc.getMap('cars').get('rook:name')).toBe('Rook')
    expect(again.mark('rook')).toBe('phone')
  })
})

describe('a socket that does not open', () => {
  it(
    'is given up for a new one',
    whileTimersStand(async () => {
      network().answersTheDoor = false
      const { room } = await openTab()
      const [first] = network().sockets
      expect(room.snapshot.connection).toBe('connecting')
      network().answersTheDoor = true
      vi.advanceTimersByTime(10_000)
      await network().settle()
      expect(room.snapshot.connection).toBe('live')
      expect([...network().sockets]).not.toContain(first)
    }),
  )
})
