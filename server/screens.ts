import { Server } from 'node:http'
import next from 'next'
import type { Screens } from './http/request-listener'
import type { UpgradeHandler } from './http/upgrade-listener'

export interface RunningScreens {
  handle: Screens
  upgrade: UpgradeHandler
  close(): Promise<void>
}

/** Start Next inside this process. `root` is the folder that holds `app/`. */
export async function startScreens(root: string, dev: boolean, port: number): Promise<RunningScreens> {
  // Next adds an upgrade listener of its own to the server it is given or finds; ours decides about upgrades, so it gets a stand-in.
  const app = next({ dev, dir: root, port, httpServer: new Server() })
  await app.prepare()
  const handle = app.getRequestHandler()
  const upgrade = app.getUpgradeHandler()
  return {
    handle: async (req, res) => handle(req, res),
    upgrade: (req, socket, head) => void upgrade(req, socket, head),
    close: () => app.close(),
  }
}
