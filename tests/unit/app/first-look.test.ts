import 'fake-indexeddb/auto'
import { describe, expect, it } from 'vitest'
import { boardStands } from '@/app/sync/board-stands'
import { IdbStore } from '@/app/sync/idb-store'
import { SyncClient } from '@/app/sync/sync-client'
import type { SessionAnswer } from '@/app/sync/sync-snapshot'
import { addPack, clients, here, member, network, serverPacks, until, visit } from './device-visits'

/** A visit whose question who we are waits for `say`. */
function slowVisit(meetingId?: string) {
  let say: (answer: SessionAnswer) => void = () => undefined
  const client = new SyncClient({
    store: new IdbStore(),
    createProvider: network.createProvider,
    askSession: () => new Promise((resolve) => (say = resolve)),
  })
  clients.push(client)
  if (meetingId !== undefined) void client.openMeeting(meetingId)
  void client.start()
  return { client, say: (answer: SessionAnswer) => say(answer) }
}
const labels = (client: SyncClient) => client.kitBoard?.view().packs.live.map((p) => p.label)

async function earlierVisit() {
  const first = await visit()
  addPack(first, 'P01')
  await network.settle()
  first.close()
  await network.settle()
}

describe('before the server has said who we are', () => {
  it('a device that joined earlier shows its own copy, with no line and none called down', async () => {
    await earlierVisit()
    const { client, say } = slowVisit()
    await until(() => client.snapshot().membership.state === 'member')
    expect(labels(client)).toEqual(['P01'])
    expect(network.sockets.size).toBe(0)
    expect(client.snapshot().kit?.connection).toBe('connecting')
    say(here(member()))
    await until(() => client.snapshot().online)
    expect(client.snapshot().kit?.connection).toBe('live')
  })

  it('not reached, its line is down', async () => {
    await earlierVisit()
    const { client, say } = slowVisit()
    await until(() => client.snapshot().membership.state === 'member')
    say({ reached: false })
    await until(() => client.snapshot().kit?.connection === 'offline')
    expect(labels(client)).toEqual(['P01'])
  })

  it('[S11] removed meanwhile, it closes its copy, and what was entered stays readable and is not sent', async () => {
    await earlierVisit()
    const { client, say } = slowVisit()
    await until(() => client.snapshot().membership.state === 'member')
    addPack(client, 'P02')
    say(here(null))
    await until(() => client.snapshot().membership.state === 'revoked')
    expect(client.snapshot().membership).toMatchObject({ unsent: ['Pack P02, Pack label: P02'] })
    expect(client.kitBoard).toBeNull()
    expect(serverPacks()).not.toContain('P02')
  })

  it('somebody else’s by now, it puts the copy aside with what was entered', async () => {
    await earlierVisit()
    const { client, say } = slowVisit()
    await until(() => client.snapshot().membership.state === 'member')
    addPack(client, 'P02')
    say(here(member('mechanic', 'mara', 'phone-2')))
    await until(() => client.snapshot().online)
    await network.settle()
    expect(labels(client)).toEqual(['P01'])
    expect(serverPacks()).not.toContain('P02')
  })

  it('nothing of the meeting is opened for a device that joined nowhere yet', async () => {
    const { client, say } = slowVisit('spring')
    await network.settle()
    expect(client.snapshot().membership.state).toBe('starting')
    say(here(member()))
    await until(() => client.snapshot().online)
    expect(network.sockets.size).toBe(2)
  })
})

describe('the board stands', () => {
  it('when the kit and the meeting of the page have come, and not while the meeting is still read', async () => {
    const { client, say } = slowVisit('spring')
    const seen: string[] = []
    client.subscribe(() => {
      const s = client.snapshot()
      if (boardStands(s)) seen.push(`${s.kit?.hasContent ?? '-'} ${s.meeting?.hasContent ?? '-'}`)
    })
    expect(boardStands(client.snapshot())).toBe(false)
    say(here(member()))
    await until(() => boardStands(client.snapshot()))
    expect(new Set(seen)).toEqual(new Set(['true true']))
  })

  it('with the kit alone where no meeting is asked for', async () => {
    expect(boardStands((await visit()).snapshot())).toBe(true)
  })
})
