import { connect as tlsConnect } from 'node:tls'
import { expect, it, onTestFinished } from 'vitest'
import { ADDRESS_HEADER, calling, peerKey } from '@/server/peers/peer-line'
import { CLOSE } from '@/lib/sync/close-codes'
import { FuzzPhone } from '../fuzz/fuzz-phone'
import { makeMeeting } from '../support/make-meeting'
import { START_MS, type JoinedClient, type ServerProcess } from '../support/server-process'
import { freePort, servesBoard, startPeer } from '../support/several-processes'
import { hasPostgres, postgresForTests } from './postgres-under-test'

const postgres = postgresForTests()
const ROOM = 'meeting-m1'

async function startTwo() {
  const database = await postgres.server.database()
  const [ports, servers] = [[await freePort(), await freePort()] as const, [] as ServerProcess[]]
  for (const port of ports) {
    const server = await startPeer(database, { STAGECALL_PEER: `127.0.0.1:${port}` })
    onTestFinished(() => server.dispose())
    servers.push(server)
  }
  const [first, second] = servers as [ServerProcess, ServerProcess]
  const ann = await second.join('manager', { name: 'Ann' })
  await makeMeeting(second.port, ann.cookie, 'm1')
  return { database, first, second, ann, ports }
}

let phones = 0
/** A phone of that person, which writes keys of its own. */
function phoneOf(server: ServerProcess, who: JoinedClient): FuzzPhone {
  const phone = new FuzzPhone(`phone${++phones}`, who.cookie, `ws://127.0.0.1:${server.port}/sync/${ROOM}`)
  onTestFinished(() => phone.destroy())
  phone.connect()
  return phone
}
/** An edit is acknowledged, over as many lines as that takes. */
async function edit(phone: FuzzPhone, ms = 15_000): Promise<void> {
  phone.editOwn(0)
  const before = phone.acknowledged
  await expect
    .poll(
      () => {
        if (!phone.connected) phone.connect()
        if (phone.unanswered === 0) phone.askBarrier()
        return phone.acknowledged
      },
      { timeout: ms, interval: 20 },
    )
    .toBeGreaterThan(before)
}
const sees = (phone: FuzzPhone, of: FuzzPhone) =>
  expect
    .poll(() => String(phone.doc.getMap('notes').get(`${of.name}-0:about`)), { timeout: 15_000 })
    .toMatch(`${of.name}#`)
/** The judge can't renew it: in so many ms. */
const leaseEnds = (database: string, inMs: number) =>
  postgres.server.ask(
    database,
    'UPDATE owners SET lease_until = (extract(epoch from clock_timestamp()) * 1000)::bigint + $1',
    [inMs],
  )
const post = (server: ServerProcess, path: string, { cookie }: JoinedClient, body: object = {}) =>
  fetch(`http://127.0.0.1:${server.port}${path}`, {
    method: 'POST',
    headers: { cookie, 'content-type': 'application/json' },
    body: JSON.stringify(body),
  })

it.skipIf(!hasPostgres)(
  '[P2] two processes serve one board: one judges, what comes to the other is passed on, a phone that is removed loses its line there',
  async () => {
    const { first, second, ann } = await startTwo()
    expect([await servesBoard(first), await servesBoard(second)]).toEqual([true, false])
    expect(second.output).toContain('Another process serves the board')
    for (const server of [first, second])
      expect((await fetch(`http://127.0.0.1:${server.port}/healthz/ready`)).status).toBe(200)
    const bea = await first.join('mechanic', { name: 'Bea' })
    const [here, there] = [phoneOf(first, ann), phoneOf(second, bea)]
    await edit(here)
    await edit(there)
    await sees(here, there)
    await sees(there, here)
    const people = (await (
      await fetch(`http://127.0.0.1:${second.port}/api/crew/people`, { headers: { cookie: ann.cookie } })
    ).json()) as { people: { name: string; devices: { sessionId: string }[] }[] }
    expect(people.people.map((p) => p.name)).toEqual(['Ann', 'Bea'])
    // A role is refused at the judge, whichever way it came.
    expect((await post(second, '/api/crew/people', bea, { name: 'Cyd', role: 'driver' })).status).toBe(403)
    const device = people.people.find((p) => p.name === 'Bea')?.devices[0]?.sessionId ?? ''
    expect((await post(second, `/api/crew/devices/${device}/revoke`, ann)).status).toBe(200)
    await expect.poll(() => there.closes, { interval: 10, timeout: 15_000 }).toEqual([CLOSE.revoked])
  },
  3 * START_MS,
)

it.skipIf(!hasPostgres)(
  '[P2] whoever lacks the key gets no answer between processes, and what a client says of its address is not believed',
  async () => {
    const { first, second, ann, ports } = await startTwo()
    const knock = (secret: string) =>
      new Promise<string>((resolve) => {
        const socket = tlsConnect({ host: '127.0.0.1', port: ports[0], ...calling(peerKey(secret)) })
        socket.on('secureConnect', () => {
          resolve('in')
          socket.destroy()
        })
        socket.on('error', () => resolve('out'))
      })
    expect(await knock('another word that has the same length or so')).toBe('out')
    expect(await knock('a word that only the processes of a test share')).toBe('in')
    await expect(fetch(`http://127.0.0.1:${ports[0]}/api/session`)).rejects.toThrow()
    // Whoever asks too much is slowed by address; a made-up one each time would get around that.
    const ask = async (server: ServerProcess, n: number) => {
      const headers = { [ADDRESS_HEADER]: `192.0.2.${n}` }
      return (await fetch(`http://127.0.0.1:${server.port}/api/nothing`, { headers })).status
    }
    for (const server of [second, first]) {
      const statuses = await Promise.all(Array.from({ length: 250 }, (_, n) => ask(server, n)))
      expect(new Set(statuses)).toEqual(new Set([404, 429]))
    }
    const phone = phoneOf(second, ann)
    await edit(phone)
  },
  3 * START_MS,
)

it.skipIf(!hasPostgres)(
  '[P1] the judge is killed: the other process does not wait for its lease, nothing acknowledged is lost, and the first comes back as the one that passes on',
  async () => {
    const { database, first, second, ann } = await startTwo()
    const phone = phoneOf(second, ann)
    await edit(phone)
    await first.kill9()
    await leaseEnds(database, 3_600_000)
    await edit(phone)
    expect(await servesBoard(second)).toBe(true)
    await first.restart()
    expect(await servesBoard(first)).toBe(false)
    const other = phoneOf(first, ann)
    await edit(other)
    await sees(other, phone)
  },
  3 * START_MS,
)

it.skipIf(!hasPostgres)(
  '[P1] a judge that was paused past its lease shows nothing and takes nothing when it wakes up, and passes on from then on',
  async () => {
    const { database, first, second, ann } = await startTwo()
    const paused = phoneOf(first, ann)
    await edit(paused)
    const writer = phoneOf(second, ann)
    await edit(writer)
    process.kill(first.pid, 'SIGSTOP')
    await leaseEnds(database, 3_600_000)
    onTestFinished(() => {
      try {
        process.kill(first.pid, 'SIGCONT')
      } catch {
        // It has ended.
      }
    })
    // It looks ten times a second, and a paused process is no dead one.
    await new Promise((resolve) => setTimeout(resolve, 600))
    expect(await servesBoard(second)).toBe(false)
    await leaseEnds(database, 0)
    await edit(writer)
    expect(await servesBoard(second)).toBe(true)
    // What waits in its line when it wakes up must come to nothing, and no answer may come out of it.
    const { acknowledged } = paused
    const [frames, before] = [paused.frames, [...paused.closes]]
    paused.editOwn(1)
    paused.askBarrier()
    process.kill(first.pid, 'SIGCONT')
    await expect
      .poll(() => paused.closes.length, { interval: 5, timeout: 15_000 })
      .toBeGreaterThan(before.length)
    expect(paused.acknowledged).toBe(acknowledged)
    expect(paused.frames).toBe(frames)
    expect(first.running).toBe(true)
    await edit(paused)
    expect(await servesBoard(first)).toBe(false)
    await sees(paused, writer)
  },
  3 * START_MS,
)

it.skipIf(!hasPostgres)(
  '[P3] whoever is told to stop tells its phones to come again and ends in good order, and a judge gives the board back',
  async () => {
    const { database, first, second, ann } = await startTwo()
    const [near, far] = [phoneOf(first, ann), phoneOf(second, ann)]
    await edit(near)
    await edit(far)
    expect(await second.stop()).toBe(0)
    expect(far.closes).toEqual([CLOSE.shutdown])
    await second.restart()
    await edit(far)
    expect(await first.stop()).toBe(0)
    expect(near.closes).toEqual([CLOSE.shutdown])
    await edit(far)
    expect(await servesBoard(second)).toBe(true)
    expect(await second.stop()).toBe(0)
    const held = await postgres.server.ask(database, 'SELECT count(*)::int FROM owners WHERE lease_until > 0')
    expect(held[0]?.[0]).toBe(0)
  },
  3 * START_MS,
)
