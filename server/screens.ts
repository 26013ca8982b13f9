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
  // Next listens for upgrades on the server it is given or finds. Ours decides about upgrades, so Next gets a stand-in that is told of its own
  // only (`getUpgradeHandler()` reaches the renderer, which ignores them).
  const standIn = new Server()
  const app = next({ dev, dir: root, port, httpServer: standIn })
  await app.prepare()
  const handle = app.getRequestHandler()
  return {
    handle: async (req, res) => handle(req, res),
    upgrade: (req, socket, head) => void standIn.emit('upgrade', req, socket, head),
    close: () => app.close(),
  }
}
