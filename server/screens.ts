import { readFileSync } from 'node:fs'
import { Server } from 'node:http'
import { join } from 'node:path'
import { BUILD_HEADER } from '@/lib/core/build-header'
import type { Screens } from './http/request-listener'
import type { UpgradeHandler } from './http/upgrade-listener'
import { builtScripts, devScripts } from './worker-scripts'

export interface RunningScreens {
  handle: Screens
  upgrade: UpgradeHandler
  close(): Promise<void>
}

/** Start Next inside this process. `root` is the folder that holds `app/`. */
export async function startScreens(root: string, dev: boolean, port: number): Promise<RunningScreens> {
  // Late: a server without screens starts without it.
  const { default: next } = await import('next')
  // Next listens for upgrades on the server it is given or finds. Ours decides about upgrades, so Next gets a stand-in that is told of its own
  // only (`getUpgradeHandler()` reaches the renderer, which ignores them).
  const standIn = new Server()
  const app = next({ dev, dir: root, port, httpServer: standIn })
  await app.prepare()
  const handle = app.getRequestHandler()
  // Empty in development, where nothing is kept on phones. Read once: what is served is what was built when the server started.
  const build = dev ? '' : readFileSync(join(root, '.next', 'BUILD_ID'), 'utf8').trim()
  const scripts = dev ? await devScripts(root) : builtScripts(root, build)
  return {
    handle: async (req, res) => {
      if (await scripts(req.url, res)) return
      // To the pages, and with them to the browser.
      req.headers[BUILD_HEADER] = build
      if (!req.url?.startsWith('/_next/')) res.setHeader(BUILD_HEADER, build)
      await handle(req, res)
    },
    upgrade: (req, socket, head) => void standIn.emit('upgrade', req, socket, head),
    close: () => app.close(),
  }
}
