import pino from 'pino'
import { expect, it, onTestFinished } from 'vitest'
import { Doc, encodeStateAsUpdate } from 'yjs'
import { BoardTurns, type Led } from '@/server/peers/board-turns'
import { peerKey } from '@/server/peers/peer-line'
import { Relay } from '@/server/peers/relay'
import type { OpenedStore } from '@/server/storage/open-store'
import { KIT } from '@/server/storage/postgres-statements'
import { emptyBatch } from '@/server/storage/store'
import { realTimers } from '@/server/sync/timers'
import { PEER_SECRET } from '../support/several-processes'
import { hasPostgres, postgresForTests } from './postgres-under-test'

const postgres = postgresForTests()

/** A board that believes in its lease for as long as it is left in that belief, and counts how often it was closed. */
class Believer implements Led {
  closed = 0

  constructor(readonly opened: OpenedStore) {
    const { store } = opened
    if (!store.rooms().includes(KIT)) {
      store.load(KIT)
      const update = encodeStateAsUpdate(new Doc())
      store.commit({ ...emptyBatch(), updates: [{ room: KIT, update, at: 0 }] })
    }
  }

  /** Its own line is down: it renews no lease, and hears of nobody who took one. */
  goSilent(): void {
    this.opened.stopTending()
  }

  api = () => Promise.resolve()
  upgrade = () => undefined
  stats = (): never => {
    throw new Error('Nobody asks for figures here')
  }
  holds = () => true
  whyNotWritable = () => null
  close(): Promise<void> {
    this.closed++
    this.opened.stopTending()
    this.opened.client.close()
    return Promise.resolve()
  }
}

async function startTurns(url: string, address: string) {
  const boards: Believer[] = []
  const turns = await BoardTurns.start<Believer>({
    url,
    address,
    relay: new Relay(peerKey(PEER_SECRET), false),
    timers: realTimers,
    log: pino({ level: 'silent' }),
    serve: (opened) => {
      const board = new Believer(opened)
      boards.push(board)
      return Promise.resolve(board)
    },
    forgetGenerations: () => Promise.resolve(),
    onOver: (e) => expect.fail(`It ended: ${e.reason}`),
  })
  onTestFinished(() => turns.close())
  return { turns, boards }
}

it.skipIf(!hasPostgres)(
  '[P1] a process whose own line alone is down gives the board up by what it looks up, once another one has taken it over',
  async () => {
    const url = await postgres.server.database()
    const first = await startTurns(url, '127.0.0.1:2')
    const second = await startTurns(url, '127.0.0.1:3')
    const serves = () => [first.turns.board, second.turns.board].map((board) => board !== null)
    expect(serves()).toEqual([true, false])
    first.boards[0]?.goSilent()
    await expect.poll(serves, { timeout: 15_000, interval: 20 }).toEqual([false, true])
    expect([first, second].map(({ boards }) => boards.map((b) => b.closed))).toEqual([[1], [0]])
    expect([first.turns.whyNotReady(), second.turns.whyNotReady()]).toEqual([null, null])
    // It stays that way: neither takes it from the other.
    await new Promise((resolve) => setTimeout(resolve, 1_500))
    expect(serves()).toEqual([false, true])
    // The one that gave up takes its turn again.
    second.boards[0]?.goSilent()
    await expect.poll(serves, { timeout: 15_000, interval: 20 }).toEqual([true, false])
    expect([first, second].map(({ boards }) => boards.map((b) => b.closed))).toEqual([[1, 0], [1]])
  },
  60_000,
)
