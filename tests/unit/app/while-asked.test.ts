import { describe, expect, it } from 'vitest'
import type { SyncClient } from '@/app/sync/sync-client'
import type { SessionAnswer } from '@/app/sync/sync-snapshot'
import {
  addPack,
  gone,
  here,
  member,
  network,
  openedPage,
  serverPacks,
  session,
  until,
  visit,
} from './device-visits'

describe('while the server is still asked who we are', () => {
  const asking = async () => {
    const first = await visit()
    addPack(first, 'P01')
    await network.settle()
    first.close()
    await network.settle()
    let resolve: (said: SessionAnswer) => void = () => {}
    const asked = new Promise<SessionAnswer>((said) => (resolve = said))
    const client = openedPage(() => asked)
    const started = client.start()
    await until(() => client.snapshot().membership.state === 'member')
    return {
      client,
      say: async (said: SessionAnswer) => {
        resolve(said)
        await started
        await network.settle()
      },
    }
  }
  const labels = (client: SyncClient) => client.kitBoard?.view().packs.live.map((p) => p.label)

  it('what this device has is shown, nothing is connected, and nobody is told that there is no line', async () => {
    const { client, say } = await asking()
    expect(labels(client)).toEqual(['P01'])
    expect([...network.sockets]).toEqual([])
    expect(client.snapshot()).toMatchObject({ online: false, kit: { connection: 'connecting' } })
    await say(here(member()))
    expect(client.snapshot()).toMatchObject({ online: true, kit: { connection: 'live' } })
  })

  it('an edit of that moment reaches the server', async () => {
    const { client, say } = await asking()
    addPack(client, 'P02')
    await say(here(member()))
    await until(() => client.snapshot().pending === 0)
    expect(serverPacks()).toHaveLength(2)
  })

  it('no answer leaves it as it is, and says so', async () => {
    const { client, say } = await asking()
    await say(gone)
    expect(labels(client)).toEqual(['P01'])
    expect(client.snapshot()).toMatchObject({ online: false, kit: { connection: 'offline' } })
  })

  it('[S11] a phone that is no longer joined shows it no more', async () => {
    const { client, say } = await asking()
    addPack(client, 'P02')
    await say(here(null))
    expect(client.snapshot().membership).toMatchObject({
      state: 'revoked',
      unsent: expect.arrayContaining([expect.stringContaining('P02')]) as string[],
    })
    expect(client.kitBoard).toBeNull()
    expect([...network.sockets]).toEqual([])
  })

  it('[S11] somebody else’s board flows into nobody’s', async () => {
    const { client, say } = await asking()
    addPack(client, 'P02')
    await say(here(member('mechanic', 'bas', 'phone-2')))
    await until(() => client.snapshot().online)
    expect(session(client).personId).toBe('bas')
    expect(labels(client)).toEqual(['P01'])
    expect(serverPacks()).toHaveLength(1)
  })

  it('a page that is closed meanwhile opens nothing', async () => {
    const { client, say } = await asking()
    client.close()
    await say(here(member()))
    expect([...network.sockets]).toEqual([])
  })
})
