import { afterEach, beforeEach, expect, it } from 'vitest'
import type { Role } from '@/lib/core/role'
import type { NoticeResponse } from '@/lib/sync/loss-notice'
import { addNotice, readNotice } from '@/server/storage/notices'
import { apiServer, type ApiServer } from '../../support/api-server'

const NOTICE = {
  at: 7,
  lines: ['SAVED EDITS ARE LOST'],
  losses: [{ after: 1, until: 2, writes: 3, people: [{ name: 'Ann', edits: 4 }] }],
}
let api: ApiServer
beforeEach(async () => {
  api = await apiServer()
  addNotice(api.dataFolder, NOTICE)
})
afterEach(() => api.close())

it('[S26] what was lost is told to a manager, who takes it as read', async () => {
  const { headers } = await api.join('manager', 'Max')
  const told = (await (await api.get('/api/notice', headers)).json()) as NoticeResponse
  expect(told.notice).toEqual(NOTICE)
  expect((await api.send('/api/notice/read', { at: 7 }, headers)).status).toBe(200)
  expect(readNotice(api.dataFolder)).toBeNull()
  expect(await (await api.get('/api/notice', headers)).json()).toEqual({ notice: null })
  // The second of two managers taps the same button.
  expect((await api.send('/api/notice/read', { at: 7 }, headers)).status).toBe(200)
})

it.each<Role>(['driver', 'mechanic', 'guest'])('[S26] a %s neither sees it nor clears it', async (role) => {
  const { headers } = await api.join(role, 'Ann')
  const answers = [
    await api.get('/api/notice', headers),
    await api.send('/api/notice/read', { at: 7 }, headers),
  ]
  for (const res of answers) {
    expect(res.status).toBe(403)
    expect(await res.text()).not.toMatch(/LOST|losses/)
  }
  expect(readNotice(api.dataFolder)).toEqual(NOTICE)
})

it('[S26] whoever has not joined learns no names, from /healthz neither, only that something is to be read', async () => {
  expect((await api.get('/api/notice')).status).toBe(401)
  expect((await api.send('/api/notice/read', { at: 7 })).status).toBe(401)
  const health = await (await api.get('/healthz')).text()
  expect(health).toMatch(/"status":"trouble".*Saved edits were lost/)
  expect(health).not.toContain('Ann')
  expect(readNotice(api.dataFolder)).toEqual(NOTICE)
})

it('[S26] [S1] another site can’t have it cleared by a manager’s browser', async () => {
  const { headers } = await api.join('manager', 'Max')
  const foreign = { ...headers, origin: 'http://elsewhere.example' }
  expect((await api.send('/api/notice/read', { at: 7 }, foreign)).status).toBe(403)
  expect(readNotice(api.dataFolder)).toEqual(NOTICE)
})

it('[S26] one that came after what was read stays, with the first', async () => {
  const { headers } = await api.join('manager', 'Max')
  addNotice(api.dataFolder, { ...NOTICE, at: 9 })
  const res = await api.send('/api/notice/read', { at: 7 }, headers)
  expect([res.status, await res.text()]).toEqual([422, expect.stringContaining('there is a newer one')])
  expect(readNotice(api.dataFolder)).toMatchObject({ at: 9, losses: [{ after: 1 }, { after: 1 }] })
})
