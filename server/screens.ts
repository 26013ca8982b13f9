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

/** The name of the screens' build, read once: what is served is what was built when the server started. */
export const buildName = (root: string): string =>
  readFileSync(join(root, '.next', 'BUILD_ID'), 'utf8').trim()

/**
 * Start Next inside this process. `root` is the folder that holds `app/`; `build` is empty in development, where nothing is built and nothing kept
 * on phones.
 */
export async function startScreens(root: string, build: string, port: number): Promise<RunningScreens> {
  const dev = build === ''
  // Late: a server without screens starts without it.
  const { default: next } = await import('next')
  // Next listens for upgrades on the server it is given or finds. Ours decides about upgrades, so Next gets a stand-in that is told of its own
  // only (`getUpgradeHandler()` reaches the renderer, which ignores them).
  const standIn = new Server()
  const app = next({ dev, dir: root, port, httpServer: standIn })
  await app.prepare()
  const handle = app.getRequestHandler()
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
