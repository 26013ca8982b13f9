import pino from 'pino'
import { beforeEach, describe, expect, it } from 'vitest'
import type { ServedBoard } from '@/server/serve-board'
import { noStats } from '@/server/teams/sum-stats'
import { HouseFull, TeamHouse, type Kept } from '@/server/teams/team-house'
import { HandTimers } from '../../support/api-server'

const MINUTE = 60_000

/** Boards that only say what is done with them. */
class Boards {
  readonly log: string[] = []
  readonly sockets = new Map<string, number>()
  readonly teams = new Set(['rook', 'crow', 'jay'])
  readonly timers = new HandTimers()
  fails = false
  /** What opening a team's board takes, ms. */
  takes = 0
  hold: Promise<void> = Promise.resolve()
  house = this.build(10)

  build(most: number): TeamHouse {
    return (this.house = new TeamHouse({
      timers: this.timers,
      log: pino({ level: 'silent' }),
      most,
      isTeam: (address) => this.teams.has(address),
      openTeam: (address) => this.#open(address, 'team'),
      openEmpty: (address) => this.#open(address, 'empty'),
      firstSpanMs: 0,
    }))
  }

  async #open(address: string, kind: string): Promise<Kept> {
    this.log.push(`open ${kind} ${address}`)
    await this.hold
    if (kind === 'team') this.timers.advance(this.takes)
    if (this.fails) throw new Error('no')
    const board = {
      name: `${kind} ${address}`,
      stats: () => ({ ...noStats(), turns: 1, sockets: this.sockets.get(address) ?? 0 }),
      endSessions: () => void this.log.push(`end ${address}`),
      closeSockets: () => Promise.resolve(),
    }
    return {
      board: board as unknown as ServedBoard,
      hasNotice: () => address === 'jay',
      close: () => {
        this.log.push(`close ${address}`)
        return Promise.resolve()
      },
    }
  }

  name(address: string): Promise<string> {
    return this.house.use(address, (board) => (board as unknown as { name: string }).name)
  }
}

/** Whatever waits for nothing else is done. */
async function settled(): Promise<void> {
  for (let turn = 0; turn < 20; turn++) await Promise.resolve()
}

let b: Boards
beforeEach(() => void (b = new Boards()))

describe('the house of many teams', () => {
  it('opens a board once for all who come at the same time', async () => {
    expect(await Promise.all([b.name('rook'), b.name('rook'), b.name('crow')])).toEqual([
      'team rook',
      'team rook',
      'team crow',
    ])
    expect(b.log).toEqual(['open team rook', 'open team crow'])
  })

  it('an address of no team has a board of its own too, and none of it is a team’s', async () => {
    expect(await b.name('nobody')).toBe('empty nobody')
    expect(await b.name('nobody-2')).toBe('empty nobody-2')
    expect(b.house.open).toBe(0)
  })

  it('its first visitor waits for as long as a team’s did', async () => {
    b.takes = 40
    await b.name('rook')
    // Of two spans, the empty board's own and the team's, one is drawn: many addresses see both.
    const waits: number[] = []
    for (let n = 0; n < 40; n++) {
      const asked = b.name(`nobody-${n}`)
      await settled()
      waits.push(b.timers.waits[0] ?? 0)
      b.timers.advance(40)
      await asked
    }
    expect(new Set(waits)).toEqual(new Set([0, 40]))
  })

  it('many that are asked for at once are opened one after the other; one that takes long does not keep the next', async () => {
    let go = () => {}
    b.hold = new Promise<void>((resolve) => (go = resolve))
    const all = [b.name('rook'), b.name('crow'), b.name('jay')]
    await settled()
    expect(b.log).toEqual(['open team rook'])
    b.timers.advance(300)
    await settled()
    expect(b.log).toEqual(['open team rook', 'open team crow'])
    go()
    expect(await Promise.all(all)).toEqual(['team rook', 'team crow', 'team jay'])
    expect(b.log).toEqual(['open team rook', 'open team crow', 'open team jay'])
    // Nothing is left to wait for.
    expect(b.timers.waits).toEqual([])
    b.fails = true
    b.teams.add('daw').add('owl')
    const failed = await Promise.allSettled([b.name('daw'), b.name('owl')])
    expect(failed.map((f) => f.status)).toEqual(['rejected', 'rejected'])
  })

  it('a team that is archived while others are opened is not opened any more, and who asked is answered as at no team’s', async () => {
    let go = () => {}
    b.hold = new Promise<void>((resolve) => (go = resolve))
    const all = [b.name('rook'), b.name('crow')]
    await settled()
    b.teams.delete('crow')
    b.house.settle()
    go()
    const [rook, crow] = await Promise.all(all)
    expect([rook, crow]).toEqual(['team rook', 'empty crow'])
    expect(b.log.filter((l) => l.startsWith('open'))).toEqual(['open team rook', 'open empty crow'])
  })

  it('closed while many are opened, it opens no more of them, and is done when the one under way is closed', async () => {
    let go = () => {}
    b.hold = new Promise<void>((resolve) => (go = resolve))
    const all = Promise.allSettled([b.name('rook'), b.name('crow')])
    await settled()
    let isClosed = false
    const closing = b.house.close().then(() => (isClosed = true))
    await settled()
    expect(isClosed).toBe(false)
    go()
    await closing
    expect((await all).map((x) => x.status)).toEqual(['rejected', 'rejected'])
    expect(b.log).toEqual(['open team rook', 'close rook'])
  })

  it('an address of no team waits for the teams that are being opened, and keeps none of them waiting', async () => {
    let go = () => {}
    b.hold = new Promise<void>((resolve) => (go = resolve))
    const all = [b.name('rook'), b.name('nobody'), b.name('nobody-2'), b.name('crow')]
    await settled()
    expect(b.log).toEqual(['open team rook'])
    go()
    await settled()
    expect(new Set(b.log)).toEqual(
      new Set(['open team rook', 'open team crow', 'open empty nobody', 'open empty nobody-2']),
    )
    expect(await Promise.all(all)).toEqual(['team rook', 'empty nobody', 'empty nobody-2', 'team crow'])
  })

  it('a board that can’t be opened is trouble for all who wait, and is tried again a little later', async () => {
    b.fails = true
    const both = await Promise.allSettled([b.name('rook'), b.name('rook')])
    expect(both.map((x) => x.status)).toEqual(['rejected', 'rejected'])
    await expect(b.name('rook')).rejects.toThrow('no')
    expect(b.log).toEqual(['open team rook'])
    b.fails = false
    b.timers.advance(2_000)
    expect(await b.name('rook')).toBe('team rook')
  })

  it('closes what nobody has used for ten minutes; sockets keep it open', async () => {
    await b.name('rook')
    await b.name('crow')
    await b.name('nobody')
    b.sockets.set('crow', 1)
    b.timers.advance(10 * MINUTE + 1)
    b.house.tidy()
    await settled()
    expect(b.log.filter((l) => l.startsWith('close'))).toEqual(['close rook', 'close nobody'])
    expect(b.house.open).toBe(1)
    await b.name('rook')
    expect(b.log.at(-1)).toBe('open team rook')
  })

  it('has only so many open: the one that was not used for longest goes, and none that is in use', async () => {
    b.build(2)
    await b.name('rook')
    b.timers.advance(1)
    await b.name('crow')
    b.timers.advance(1)
    await b.name('jay')
    expect(b.log).toContain('close rook')
    b.sockets.set('crow', 1)
    b.sockets.set('jay', 1)
    await expect(b.name('rook')).rejects.toThrow(HouseFull)
    // An address of no team is refused as well: the refusal tells nothing.
    await expect(b.name('nobody')).rejects.toThrow(HouseFull)
  })

  it('an archived team’s sockets are ended at once, and its address is nobody’s from then on', async () => {
    await b.name('rook')
    b.sockets.set('rook', 3)
    b.teams.delete('rook')
    b.house.settle()
    expect(b.log.slice(1)).toEqual(['end rook'])
    expect(await b.name('rook')).toBe('empty rook')
    expect(b.log.slice(1)).toEqual(['end rook', 'close rook', 'open empty rook'])
    b.teams.add('rook')
    b.house.settle()
    expect(await b.name('rook')).toBe('team rook')
  })

  it('archived while it is being opened: whoever waited is answered as at nobody’s', async () => {
    let go = () => undefined as void
    b.hold = new Promise<void>((resolve) => (go = resolve))
    const asked = b.name('rook')
    await Promise.resolve()
    b.teams.delete('rook')
    b.house.settle()
    go()
    expect(await asked).toBe('empty rook')
    expect(b.log).toEqual(['open team rook', 'close rook', 'open empty rook'])
  })

  it('a request that is under way keeps the board that it is in', async () => {
    let end = () => undefined as void
    const work = new Promise<void>((resolve) => (end = resolve))
    const asked = b.house.use('rook', () => work)
    await settled()
    b.timers.advance(10 * MINUTE + 1)
    b.house.tidy()
    expect(b.log).toEqual(['open team rook'])
    b.teams.delete('rook')
    b.house.settle()
    await settled()
    expect(b.log).toEqual(['open team rook', 'end rook'])
    end()
    await asked
    await b.house.close()
    expect(b.log).toEqual(['open team rook', 'end rook', 'close rook'])
  })

  it('says what all boards together do, those too that are closed', async () => {
    await b.name('rook')
    await b.name('crow')
    b.sockets.set('rook', 2)
    b.sockets.set('crow', 3)
    expect(b.house.stats()).toMatchObject({ turns: 2, sockets: 5 })
    b.sockets.set('crow', 0)
    b.timers.advance(10 * MINUTE + 1)
    b.house.tidy()
    expect(b.house.stats()).toMatchObject({ turns: 2, sockets: 2 })
    expect(b.house.hasNotice()).toBe(false)
    await b.name('jay')
    expect(b.house.hasNotice()).toBe(true)
  })

  it('closed, it opens nothing any more', async () => {
    await b.name('rook')
    await b.house.close()
    expect(b.log.at(-1)).toBe('close rook')
    await expect(b.name('crow')).rejects.toThrow('closed')
  })
})
