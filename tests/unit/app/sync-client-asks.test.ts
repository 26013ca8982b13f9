import { describe, expect, it, vi } from 'vitest'
import { IdbStore } from '@/app/sync/idb-store'
import type { SyncClientOptions } from '@/app/sync/sync-options'
import type { SessionAnswer } from '@/app/sync/sync-snapshot'
import {
  addPack,
  answer,
  answerWith,
  assign,
  deadSpot,
  endVisit,
  gone,
  hear,
  here,
  linked,
  member,
  network,
  openedPage,
  session,
  until,
  visit,
} from './device-visits'
import { writeSession } from '@/lib/sync/frames'
import { pass, turns, whileTimersStand } from './while-timers-stand'

/** A page, and how often it has asked who we are. */
async function asking(options: Partial<SyncClientOptions> = {}) {
  const asked: SessionAnswer[] = []
  const client = openedPage(
    async () => {
      asked.push(answer)
      return answer
    },
    { askAgainAfter: 1e9, ...options },
  )
  await client.start()
  await network.settle()
  return { client, asked }
}
const state = (client: Awaited<ReturnType<typeof asking>>['client']) => client.snapshot().membership.state
/** The line could not be opened. */
const noLine = () => [...network.sockets][0]?.onerror?.(new Error('refused'))

describe('a page that starts', () => {
  it('is starting until it knows who we are', async () => {
    const client = openedPage(async () => answer)
    expect(client.snapshot()).toMatchObject({
      membership: { state: 'starting' },
      meetingId: null,
      pending: 0,
      online: false,
      outdated: null,
    })
    const heard: string[] = []
    const stop = client.subscribe(() => heard.push(client.snapshot().membership.state))
    await client.start()
    stop()
    const times = heard.length
    await network.settle()
    expect(heard).toHaveLength(times)
    expect(heard.filter((s, i) => s !== heard[i - 1])).toEqual(['starting', 'member'])
    expect(client.snapshot().online).toBe(true)
  })

  it('stores who we are, and shows it without network to the next visit', async () => {
    const first = await visit()
    await endVisit(first)
    answerWith(gone)
    const { client } = await asking()
    expect(session(client)).toEqual({ state: 'active', ...member() })
    expect([client.snapshot().online, linked()]).toEqual([false, []])
  })

  it('says that it was put out of the board where it had joined', async () => {
    const first = await visit()
    await endVisit(first)
    answerWith(here(null))
    const { client } = await asking()
    await until(() => state(client) === 'revoked')
    expect(client.snapshot().membership).toEqual({
      state: 'revoked',
      reason: 'This phone is no longer joined.',
      unsent: [],
    })
    expect(client.kitBoard).toBeNull()
  })

  it.each([
    ['person', member('mechanic', 'maren', 'phone-1')],
    ['device', member('mechanic', 'ilse', 'phone-2')],
  ])('sets aside what another %s had stored here', async (_, next) => {
    const first = await visit()
    deadSpot()
    addPack(first, 'P07')
    await endVisit(first)
    network.up = true
    const setAside = vi.spyOn(IdbStore.prototype, 'setAside')
    answerWith(here(next))
    const { client } = await asking()
    expect(setAside.mock.calls).toEqual([[{ state: 'active', ...member() }]])
    expect(client.kitBoard!.view().packs.live).toEqual([])
    expect(session(client)).toMatchObject(next)
  })

  it('sets nothing aside for the same one', async () => {
    const first = await visit()
    await endVisit(first)
    const setAside = vi.spyOn(IdbStore.prototype, 'setAside')
    await asking()
    expect(setAside).not.toHaveBeenCalled()
  })

  it('connects all that waits from earlier visits', async () => {
    const first = await visit()
    await first.openMeeting('spring')
    await network.settle()
    deadSpot()
    assign(first)
    await endVisit(first)
    answerWith(gone)
    const { client } = await asking()
    await client.openMeeting('autumn')
    expect(client.snapshot().pending).toBe(1)
    network.room('meeting-spring').answers = false
    network.up = true
    answerWith(here(member()))
    client.lookAgain()
    await network.settle()
    expect(linked()).toEqual(['kit', 'meeting-autumn', 'meeting-spring'])
  })

  it('begins anew when it has joined again, with nothing of before on screen', async () => {
    const { client, asked } = await asking()
    await client.openMeeting('spring')
    await network.settle()
    const before = client.kitBoard
    answerWith(here(member('driver', 'maren', 'phone-2')))
    let seen: unknown = null
    const stop = client.subscribe(() => (seen ??= [state(client), client.kitBoard, client.meetingBoard]))
    const restarted = client.restart()
    expect([seen, linked()]).toEqual([['starting', null, null], []])
    stop()
    await restarted
    await network.settle()
    expect([asked.length, session(client).personId]).toEqual([2, 'maren'])
    expect(client.kitBoard).not.toBe(before)
    expect(client.meetingBoard?.meeting?.room).toBe('meeting-spring')
    expect(linked()).toEqual(['kit', 'meeting-spring'])
  })

  it('shows nothing of an earlier member while it begins anew', async () => {
    const { client } = await asking()
    await client.stored()
    const states: string[] = []
    client.subscribe(() => states.push(state(client)))
    answerWith(here(null))
    await client.restart()
    await until(() => state(client) === 'revoked')
    expect(states).not.toContain('member')
  })

  it('connects nothing when it begins anew without network', async () => {
    const { client } = await asking()
    await client.openMeeting('spring')
    await network.settle()
    await client.stored()
    answerWith(gone)
    await client.restart()
    await network.settle()
    expect([state(client), client.meetingBoard?.meeting?.room, linked()]).toEqual([
      'member',
      'meeting-spring',
      [],
    ])
  })

  it('and is closed meanwhile stays as it was', async () => {
    const client = openedPage(async () => answer)
    const started = client.start()
    client.close()
    await started
    await network.settle()
    expect([state(client), linked(), client.kitBoard]).toEqual(['starting', [], null])
  })
})

describe('a server that can’t be reached', () => {
  it(
    'is asked every three seconds, one question at a time, until it answers',
    whileTimersStand(async () => {
      answerWith(gone)
      const asked: SessionAnswer[] = []
      const client = openedPage(
        async () => {
          asked.push(answer)
          return answer
        },
        { askAgainAfter: undefined as unknown as number },
      )
      await client.start()
      for (const times of [1, 2, 3]) {
        expect([asked.length, state(client)]).toEqual([times, 'unreachable'])
        await pass(2999)
        expect(asked).toHaveLength(times)
        await pass(1)
      }
      answerWith(here(member()))
      await pass(3000)
      await network.settle()
      expect([asked.length, client.snapshot().online]).toEqual([5, true])
      await pass(60_000)
      expect(asked).toHaveLength(5)
    }),
  )

  it(
    'is not asked for a page that is closed',
    whileTimersStand(async () => {
      answerWith(gone)
      const { client, asked } = await asking({ askAgainAfter: 1000 })
      expect(vi.getTimerCount()).toBe(1)
      client.close()
      expect(vi.getTimerCount()).toBe(0)
      await pass(10_000)
      expect(asked).toHaveLength(1)
    }),
  )

  it(
    'is asked at once when somebody looks, and no more often afterwards',
    whileTimersStand(async () => {
      answerWith(gone)
      const { client, asked } = await asking({ askAgainAfter: 1000 })
      client.lookAgain()
      await turns()
      expect(asked).toHaveLength(2)
      await pass(1000)
      expect(asked).toHaveLength(3)
    }),
  )

  it('makes a stranger of one who never joined, once it answers so', async () => {
    answerWith(gone)
    const { client } = await asking()
    answerWith(here(null))
    client.lookAgain()
    await network.settle()
    expect(client.snapshot().membership).toEqual({ state: 'stranger' })
  })
})

describe('[S11] a line that fails', () => {
  it('has the server asked, which may say that this phone is out', async () => {
    const { client, asked } = await asking()
    addPack(client, 'P01')
    await network.settle()
    answerWith(here(null))
    noLine()
    await network.settle()
    expect(asked).toHaveLength(2)
    expect(client.snapshot().membership).toEqual({
      state: 'revoked',
      reason: 'This phone is no longer joined.',
      unsent: [],
    })
    expect(linked()).toEqual([])
  })

  it('changes nothing where the server says the same, or nothing', async () => {
    const { client, asked } = await asking({ askAgainAfter: 1 })
    const before = client.kitBoard
    const setSession = vi.spyOn(IdbStore.prototype, 'setSession')
    noLine()
    await network.settle()
    answerWith(gone)
    noLine()
    await network.settle()
    await new Promise((resolve) => setTimeout(resolve, 5))
    await network.settle()
    expect([asked.length, state(client), setSession.mock.calls.length]).toEqual([3, 'member', 0])
    expect(client.kitBoard).toBe(before)
  })

  it('takes in that somebody else has joined here', async () => {
    const { client } = await asking()
    addPack(client, 'P01')
    await network.settle()
    answerWith(here(member('driver', 'maren', 'phone-2')))
    noLine()
    await until(() => client.snapshot().online && session(client).personId === 'maren')
    expect(linked()).toEqual(['kit'])
  })

  it('is asked about once, however many lines failed', async () => {
    const { client, asked } = await asking()
    noLine()
    noLine()
    await turns()
    expect(asked).toHaveLength(2)
    noLine()
    await turns()
    expect(asked).toHaveLength(3)
    hear(writeSession({ state: 'revoked', reason: 'Sent away' }))
    client.lookAgain()
    await turns()
    expect(asked).toHaveLength(3)
  })

  it('says nothing to a page that was closed while the server was asked', async () => {
    const { client } = await asking()
    answerWith(here(null))
    noLine()
    client.close()
    await turns()
    expect(state(client)).toBe('member')
  })
})

describe('[S18] somebody looks again', () => {
  const live = (client: Awaited<ReturnType<typeof asking>>['client']) => [
    client.snapshot().kit?.connection,
    client.snapshot().meeting?.connection,
  ]

  it(
    'and every line is there at once',
    whileTimersStand(async () => {
      const { client, asked } = await asking()
      await client.openMeeting('spring')
      await network.settle()
      deadSpot()
      await network.settle()
      network.up = true
      client.lookAgain()
      await network.settle()
      expect(live(client)).toEqual(['live', 'live'])
      expect(asked).toHaveLength(1)
    }),
  )

  it(
    'once for all events of half a second',
    whileTimersStand(async () => {
      const { client } = await asking()
      await client.openMeeting('spring')
      await network.settle()
      const now = vi.spyOn(performance, 'now')
      const look = async (ms: number) => {
        deadSpot()
        await network.settle()
        network.up = true
        now.mockReturnValue(1e9 + ms)
        client.lookAgain()
        await network.settle()
        return live(client)[0]
      }
      expect(await look(0)).toBe('live')
      expect(await look(499)).not.toBe('live')
      expect(await look(500)).toBe('live')
    }),
  )

  it(
    'at a page that is closed: nothing happens',
    whileTimersStand(async () => {
      answerWith(gone)
      const { client, asked } = await asking()
      client.close()
      client.lookAgain()
      await turns()
      expect(asked).toHaveLength(1)
    }),
  )
})
