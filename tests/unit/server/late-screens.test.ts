import { expect, it } from 'vitest'
import { WebSocket } from 'ws'
import type { RunningScreens } from '@/server/screens'
import { apiServer } from '../../support/api-server'

const screens: RunningScreens = {
  handle: async (_req, res) => void res.end('a page'),
  upgrade: (_req, socket) => socket.destroy(),
  close: async () => undefined,
}

it('while the screens are starting, the API and the sockets answer and a page waits', async () => {
  let origin = ''
  let page: Promise<string> | null = null
  const api = await apiServer({
    startScreens: async (port) => {
      origin = `http://127.0.0.1:${port}`
      page = fetch(origin).then((r) => r.text())
      expect((await fetch(`${origin}/api/session`)).status).toBe(200)
      // An unknown path is turned away at once; what matters is that there is an answer.
      const knock = new WebSocket(`ws://127.0.0.1:${port}/elsewhere`)
      const answer = await new Promise<number>((resolve, reject) => {
        knock.once('unexpected-response', (_req, res) => resolve(res.statusCode ?? 0))
        knock.once('error', reject)
      })
      expect(answer).toBe(404)
      return screens
    },
  })
  expect(api.origin).toBe(origin)
  expect(await page).toBe('a page')
  await api.close()
})
