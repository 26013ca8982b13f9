import { eq } from 'drizzle-orm'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { readField } from '@/lib/board'
import type { CrewResponse, InvitationsResponse, InviteResponse, PreviewResponse } from '@/lib/join/join-api'
import { invitations } from '@/drizzle/schema'
import { withChecksum } from '@/drizzle/table-checksum'
import { PHONES_PER_GUEST_CODE } from '@/server/join/join-desk'
import { writeKitPerson } from '@/server/join/kit-people'
import { hashSecret } from '@/server/join/secret-hash'
import { openDatabase } from '@/server/storage/open-database'
import { apiServer, type ApiServer } from '../../support/api-server'

let api: ApiServer
beforeEach(async () => void (api = await apiServer()))
afterEach(() => api.close())

const reasonOf = async (res: Response) => ((await res.json()) as { error: { reason: string } }).error.reason
const person = (id: string, field: string) => readField(api.fake.docOf('kit'), 'people', id, field)
const allCookies = () => {
  const db = openDatabase(api.dataFolder)
  const dump = ['sessions', 'invitations', 'people'].map((t) =>
    db.connection.prepare(`SELECT * FROM ${t}`).all(),
  )
  db.close()
  return JSON.stringify(dump)
}

describe('joining', () => {
  it('[S1] by code and name gives a session cookie and a person on the board', async () => {
    const { code } = api.invite('mechanic')
    const preview = (await (await api.send('/api/join/preview', { code })).json()) as PreviewResponse
    expect(preview).toMatchObject({ role: 'mechanic', name: null, people: [], singleUse: false })
    const res = await api.send('/api/join', { code: code.toUpperCase(), name: '  Ann  Lee ' })
    expect(res.status).toBe(200)
    const setCookie = res.headers.get('set-cookie') ?? ''
    expect(setCookie).toMatch(
      /^stagecall_session=[\w-]{43}; Path=\/; Max-Age=2592000; HttpOnly; SameSite=Lax$/,
    )
    const { session } = (await res.json()) as { session: { personId: string } }
    expect(session).toMatchObject({ name: 'Ann Lee', role: 'mechanic' })
    expect([person(session.personId, 'name'), person(session.personId, 'role')]).toEqual([
      'Ann Lee',
      'mechanic',
    ])
    const cookie = setCookie.split(';')[0] ?? ''
    const me = await api.get('/api/session', { cookie })
    expect(await me.json()).toEqual({ session, serverTime: api.clock.at })
    // Neither the code nor the token is anywhere in the database or the log.
    for (const secret of [code, cookie.split('=')[1] ?? 'missing']) {
      expect(allCookies()).not.toContain(secret)
      expect(api.log.join()).not.toContain(secret)
    }
  })

  it('a driver picks who they are, by entry or by the name on the invitation', async () => {
    await writeKitPerson(api.fake.sync, 'dora', { name: 'Dora', role: 'driver' })
    await writeKitPerson(api.fake.sync, 'nora', { name: 'Nora' })
    await writeKitPerson(api.fake.sync, 'max', { name: 'Max', role: 'manager' })
    const { code } = api.invite('driver')
    const preview = (await (await api.send('/api/join/preview', { code })).json()) as PreviewResponse
    expect(preview.people).toEqual([
      { id: 'dora', name: 'Dora', joined: false },
      { id: 'nora', name: 'Nora', joined: false },
    ])
    const dora = await api.send('/api/join', { code, personId: 'dora' })
    expect(await dora.json()).toMatchObject({ session: { personId: 'dora', name: 'Dora', role: 'driver' } })
    const nora = await api.send('/api/join', { code: api.invite('driver', { name: 'nora' }).code })
    expect(await nora.json()).toMatchObject({ session: { personId: 'nora', name: 'Nora' } })
    expect(person('nora', 'role')).toBe('driver')
    const taken = await api.send('/api/join', { code, name: 'DORA' })
    expect([taken.status, await reasonOf(taken)]).toEqual([422, 'there is already a driver with that name'])
    const again = (await (await api.send('/api/join/preview', { code })).json()) as PreviewResponse
    expect(again.people.map((p) => p.joined)).toEqual([true, true])
  })

  it('[S4] an invitation opens its own role only: nobody becomes a manager by picking one', async () => {
    await writeKitPerson(api.fake.sync, 'max', { name: 'Max', role: 'manager' })
    for (const role of ['driver', 'mechanic', 'guest'] as const) {
      const res = await api.send('/api/join', { code: api.invite(role).code, personId: 'max' })
      expect(res.status).toBe(422)
    }
    for (const name of ['Max', 'max ', 'Мах', 'Ma\u200dx'])
      expect((await api.send('/api/join', { code: api.invite('guest').code, name })).status).toBe(422)
    const guest = await api.join('guest', 'Max B.')
    expect(guest.personId).not.toBe('max')
    expect((await api.get('/api/crew/invitations', guest.headers)).status).toBe(403)
  })

  it.each(['', ' ', 'x'.repeat(41), 'a\u0007b', 'a\nb'])('refuses the name %j', async (name) => {
    const res = await api.send('/api/join', { code: api.invite('guest').code, name })
    expect(res.status).toBe(422)
    expect(res.headers.get('set-cookie')).toBeNull()
  })

  it('a single-use invitation lets one in, even when two come at once', async () => {
    const { code } = api.invite('mechanic', { singleUse: true })
    const both = await Promise.all(['Ann', 'Bob'].map((name) => api.send('/api/join', { code, name })))
    expect(both.map((r) => r.status).sort()).toEqual([200, 422])
    expect(api.board.people.all()).toHaveLength(1)
  })

  it('expired and revoked invitations say so', async () => {
    const old = api.invite('guest', { hours: 1 })
    const gone = api.invite('guest', { hours: 5 })
    api.board.invitations.revoke(gone.invitation.id)
    api.clock.at += 3600_000
    expect(await reasonOf(await api.send('/api/join/preview', { code: old.code }))).toBe('it has expired')
    expect(await reasonOf(await api.send('/api/join', { code: gone.code, name: 'X' }))).toBe(
      'it was canceled',
    )
  })

  it('a board that can’t be written lets nobody half in', async () => {
    const { code } = api.invite('mechanic', { singleUse: true })
    api.fake.fail(new Error('played by a test'))
    expect((await api.send('/api/join', { code, name: 'Ann' })).status).toBe(500)
    api.fake.fail(null)
    expect((await api.send('/api/join', { code, name: 'Ann' })).status).toBe(200)
  })

  it('joining again keeps the device and ends its former session', async () => {
    const first = await api.join('guest', 'Ann')
    const res = await api.send('/api/join', { code: api.invite('driver').code, name: 'Ann' }, first.headers)
    expect(await res.json()).toMatchObject({ session: { role: 'driver', deviceId: first.deviceId } })
    expect(await (await api.get('/api/session', first.headers)).json()).toMatchObject({ session: null })
  })

  it('[S25] a guest code brings in its phones and no more, and says whose limit that is; a crew code goes on', async () => {
    const { code } = api.invite('guest')
    const cookies: string[] = []
    for (let n = 0; n < PHONES_PER_GUEST_CODE; n++) {
      const res = await api.send('/api/join', { code, name: `Guest ${n}` })
      expect(res.status).toBe(200)
      cookies.push((res.headers.get('set-cookie') ?? '').split(';')[0] ?? '')
    }
    const more = await api.send('/api/join', { code, name: 'One more' })
    expect(more.status).toBe(422)
    expect(await more.text()).toContain('it has its 40 phones already')
    // A phone of that code that joins anew keeps its place, and one that leaves gives it up.
    const cookie = cookies[0] ?? ''
    expect((await api.send('/api/join', { code, name: 'Guest again' }, { cookie })).status).toBe(200)
    expect((await api.send('/api/leave', {}, { cookie: cookies[1] ?? '' })).status).toBe(200)
    expect((await api.send('/api/join', { code, name: 'One more' })).status).toBe(200)
    expect((await api.send('/api/join', { code: api.invite('manager').code, name: 'Boss' })).status).toBe(200)
  })

  const wrong = (i: number) => api.send('/api/join/preview', { code: 'zzzzzzzzzzzzzzz' + i })

  it('[S25] the answer to a wrong code is held back from the sixth on, and a right one never waits', async () => {
    const { code } = api.invite('guest')
    for (let i = 0; i < 5; i++) expect((await wrong(i)).status).toBe(422)
    const sixth = wrong(5)
    await api.timers.waiting(1)
    const seventh = wrong(6)
    await api.timers.waiting(2)
    expect(api.timers.waits).toEqual([250, 500])
    expect((await api.send('/api/join', { code, name: 'Ann' })).status).toBe(200)
    api.timers.advance(500)
    expect((await sixth).status).toBe(422)
    expect(await reasonOf(await seventh)).toBe('no invitation has this code')
    expect(api.timers.waits).toEqual([])
  })

  it('[S25] only so many answers are held: beyond that wrong codes are turned away, right ones looked at', async () => {
    const { code } = api.invite('guest')
    for (let i = 0; i < 5; i++) await wrong(i)
    const held = Array.from({ length: 32 }, () => wrong(5))
    await api.timers.waiting(32)
    const beyond = await wrong(6)
    expect([beyond.status, beyond.headers.get('retry-after')]).toEqual([429, '4'])
    expect((await api.send('/api/join', { code, name: 'Ann' })).status).toBe(200)
    api.timers.advance(4000)
    for (const answer of held) expect((await answer).status).toBe(422)
  })

  it('[S25] whoever has joined guesses on their own account, and is not slowed by strangers at their address', async () => {
    const ann = await api.join('guest', 'Ann')
    for (let i = 0; i < 5; i++) await wrong(i)
    const stranger = wrong(5)
    await api.timers.waiting(1)
    const own = await api.send('/api/join/preview', { code: 'zzzzzzzzzzzzzzz0' }, ann.headers)
    expect(own.status).toBe(422)
    api.timers.advance(250)
    await stranger
  })

  it('a wall clock that was a day ahead holds no answer back for longer once it is right', async () => {
    api.clock.at += 24 * 3600_000
    for (let i = 0; i < 5; i++) await wrong(i)
    api.clock.at -= 24 * 3600_000
    const held = wrong(5)
    await api.timers.waiting(1)
    expect(api.timers.waits).toEqual([250])
    api.timers.advance(250)
    expect((await held).status).toBe(422)
  })

  it('a wall clock that was months ahead has ended and deleted nothing once it is right', async () => {
    const ann = await api.join('manager', 'Ann')
    const { code } = api.invite('guest', { hours: 12 })
    const ahead = 200 * 24 * 3600_000
    api.clock.at += ahead
    expect(await (await api.get('/api/session', ann.headers)).json()).toMatchObject({ session: null })
    // Making and joining are when old rows are cleared away.
    await api.join('manager', 'Bob')
    api.clock.at -= ahead
    expect(await (await api.get('/api/session', ann.headers)).json()).toMatchObject({
      session: { name: 'Ann' },
    })
    expect((await api.send('/api/join', { code, name: 'Cid' })).status).toBe(200)
  })

  it('an invitation from before codes had sixteen signs still opens', async () => {
    const { invitation } = api.invite('guest')
    const client = openDatabase(api.dataFolder)
    const found = client.db.select().from(invitations).where(eq(invitations.id, invitation.id)).get()
    if (!found) throw new Error('no row')
    const { checksum: _, ...row } = found
    const earlier = { ...row, codeHash: hashSecret('code', 'abcdufghjk') }
    client.db.update(invitations).set(withChecksum(invitations, earlier)).run()
    client.close()
    expect((await api.send('/api/join', { code: 'ABCDU-FGHJK', name: 'Ann' })).status).toBe(200)
  })

  it('sessions run out after a month without a visit, and every visit starts the month anew', async () => {
    const ann = await api.join('guest', 'Ann')
    api.clock.at += 29 * 24 * 3600_000
    const visit = await api.get('/api/session', ann.headers)
    expect(visit.headers.get('set-cookie')).toContain('Max-Age=2592000')
    api.clock.at += 29 * 24 * 3600_000
    expect(await (await api.get('/api/session', ann.headers)).json()).toMatchObject({
      session: { name: 'Ann' },
    })
    api.clock.at += 31 * 24 * 3600_000
    expect(await (await api.get('/api/session', ann.headers)).json()).toMatchObject({ session: null })
  })

  it('leaving ends the session and takes the cookie away', async () => {
    const ann = await api.join('guest', 'Ann')
    const left = await api.send('/api/leave', {}, ann.headers)
    expect(left.headers.get('set-cookie')).toContain('Max-Age=0')
    expect((await api.get('/api/crew/people', ann.headers)).status).toBe(401)
  })
})

describe('the crew', () => {
  const crew = async (headers: Record<string, string>) =>
    ((await (await api.get('/api/crew/people', headers)).json()) as CrewResponse).people

  it('managers invite, and only they', async () => {
    const boss = await api.join('manager', 'Boss')
    const res = await api.send(
      '/api/crew/invitations',
      { role: 'driver', singleUse: true, hours: 2 },
      boss.headers,
    )
    const made = (await res.json()) as InviteResponse
    expect(made.path).toBe(`/join#${made.code}`)
    expect(made.invitation).toMatchObject({ role: 'driver', singleUse: true, uses: 0, state: 'open' })
    expect(made.invitation.expiresAt - api.clock.at).toBe(2 * 3600_000)
    expect((await api.send('/api/join', { code: made.code, name: 'Dora' })).status).toBe(200)
    const list = (await (await api.get('/api/crew/invitations', boss.headers)).json()) as InvitationsResponse
    expect(list.invitations.find((i) => i.id === made.invitation.id)).toMatchObject({
      uses: 1,
      state: 'used',
    })
    expect(JSON.stringify(list)).not.toMatch(/code|[Hh]ash/)
    for (const role of ['mechanic', 'driver', 'guest'] as const) {
      const other = await api.join(role, `some ${role}`)
      expect((await api.send('/api/crew/invitations', { role: 'manager' }, other.headers)).status).toBe(403)
    }
    expect((await api.send('/api/crew/invitations', { role: 'manager' })).status).toBe(401)
  })

  it('[S11] a role change reaches listeners at once and the board', async () => {
    const boss = await api.join('manager', 'Boss')
    const ann = await api.join('mechanic', 'Ann')
    const path = `/api/crew/people/${ann.personId}/role`
    expect((await api.send(path, { role: 'driver' }, ann.headers)).status).toBe(403)
    expect((await api.send(path, { role: 'emperor' }, boss.headers)).status).toBe(400)
    expect((await api.send(path, { role: 'driver' }, boss.headers)).status).toBe(200)
    expect(person(ann.personId, 'role')).toBe('driver')
    expect(await (await api.get('/api/session', ann.headers)).json()).toMatchObject({
      session: { role: 'driver' },
    })
  })

  it('the last manager can neither be demoted nor removed', async () => {
    const boss = await api.join('manager', 'Boss')
    const path = `/api/crew/people/${boss.personId}`
    expect(await reasonOf(await api.send(`${path}/role`, { role: 'guest' }, boss.headers))).toMatch(
      /last manager/,
    )
    expect((await api.send(`${path}/remove`, {}, boss.headers)).status).toBe(422)
    await api.join('manager', 'Vice')
    expect((await api.send(`${path}/role`, { role: 'mechanic' }, boss.headers)).status).toBe(200)
  })

  it('devices are listed with when they were last seen, and revoked', async () => {
    const boss = await api.join('manager', 'Boss')
    const ann = await api.join('mechanic', 'Ann')
    const before = (await crew(boss.headers)).find((p) => p.personId === ann.personId)
    expect(before?.devices).toMatchObject([{ deviceId: ann.deviceId, online: true, current: false }])
    // Others see who is in the crew, not which phones they carry.
    expect((await crew(ann.headers)).find((p) => p.personId === boss.personId)?.devices).toEqual([])
    const sessionId = before?.devices[0]?.sessionId ?? ''
    expect((await api.send(`/api/crew/devices/${sessionId}/revoke`, {}, ann.headers)).status).toBe(403)
    expect((await api.send(`/api/crew/devices/${sessionId}/revoke`, {}, boss.headers)).status).toBe(200)
    expect((await api.get('/api/crew/people', ann.headers)).status).toBe(401)
    expect((await api.send(`/api/crew/devices/${sessionId}/revoke`, {}, boss.headers)).status).toBe(422)
  })

  it('people can be noted down before they join, and removed with their devices', async () => {
    const boss = await api.join('manager', 'Boss')
    const added = await api.send('/api/crew/people', { name: 'Dora', role: 'driver' }, boss.headers)
    const { personId } = (await added.json()) as { personId: string }
    expect(person(personId, 'role')).toBe('driver')
    const res = await api.send('/api/join', { code: api.invite('driver').code, personId })
    const cookie = (res.headers.get('set-cookie') ?? '').split(';')[0] ?? ''
    expect((await api.send(`/api/crew/people/${personId}/remove`, {}, boss.headers)).status).toBe(200)
    expect(person(personId, 'removed')).toBe(true)
    expect(await (await api.get('/api/session', { cookie })).json()).toMatchObject({ session: null })
    expect((await crew(boss.headers)).map((p) => p.name)).toEqual(['Boss'])
  })

  it('a name changed on the board is the session’s name too', async () => {
    const ann = await api.join('mechanic', 'Ann')
    await writeKitPerson(api.fake.sync, ann.personId, { name: 'Annette' })
    expect(await (await api.get('/api/session', ann.headers)).json()).toMatchObject({
      session: { name: 'Annette' },
    })
  })
})
