import { expect, it, vi } from 'vitest'
import { fetchFresh, GONE } from '@/app/sync/fetch-fresh'
import { FakeNetwork } from './fake-network'

it('[S23] a document that is fetched does not wait for a socket that never opens', async () => {
  const network = new FakeNetwork()
  network.session = {
    state: 'active',
    personId: 'mo',
    name: 'Mo',
    role: 'mechanic',
    deviceId: 'd',
    board: { generation: 'first', protocol: 1, schema: 's', build: '' },
  }
  network.room('kit').doc.getMap('packs').set('p1:label', 'P1')
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] })
  try {
    network.answersTheDoor = false
    const fetching = fetchFresh(network.createProvider, 'kit', () => undefined)
    const [first] = network.sockets
    await network.settle()
    network.answersTheDoor = true
    vi.advanceTimersByTime(10_000)
    await network.settle()
    expect([...network.sockets]).not.toContain(first)
    const fresh = await fetching.done
    if (fresh === null || fresh === GONE) throw new Error('Nothing was fetched')
    expect(fresh.doc.getMap('packs').get('p1:label')).toBe('P1')
  } finally {
    vi.useRealTimers()
    network.providers.forEach((p) => p.destroy())
  }
})
