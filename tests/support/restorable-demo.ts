import { join } from 'node:path'
import type { BrowserContext, Page } from 'playwright'
import { DEMO_MEETING_ID } from '@/demo/seed'
import { openClient } from '@/drizzle/client'
import { backUp } from '@/server/storage/backup'
import { restore } from '@/server/storage/restore'
import { closeBrowser } from './browser'
import { must } from './must'
import { ServerProcess, type JoinedClient } from './server-process'

/** For what waits for a server that starts again. */
export const PATIENCE = { timeout: 60_000 }
const BOARD = `/board/${DEMO_MEETING_ID}`

export const saved = (page: Page) => page.getByText('all saved on the server').first().waitFor(PATIENCE)

/** The demo on a real server with a backup of its beginning, which it can be put back to while browsers look on. */
export class RestorableDemo {
  private constructor(
    readonly server: ServerProcess,
    readonly mechanic: JoinedClient,
    readonly manager: JoinedClient,
    readonly backup: string,
  ) {}

  static async start(): Promise<RestorableDemo> {
    const server = await ServerProcess.start({ demo: true })
    // Before the backup: whoever joins after it is nobody on the restored board.
    const mechanic = await server.join('mechanic', { personId: 'ilse-brandt' })
    const manager = await server.join('manager', { personId: 'petra-amsel' })
    const backup = join(server.dataFolder, 'noon.backup')
    const client = openClient(join(server.dataFolder, 'board.db'))
    must(await backUp(client, backup, Date.now()))
    client.close()
    return new RestorableDemo(server, mechanic, manager, backup)
  }

  /** A screen of the demo's meeting, with all of it there. */
  async open(context: BrowserContext, screen: string): Promise<Page> {
    const page = await context.newPage()
    await page.goto(`${this.server.origin}${BOARD}/${screen}`)
    await saved(page)
    return page
  }

  async openCard(context: BrowserContext): Promise<Page> {
    const page = await this.open(context, 'card/rook')
    await page.getByRole('group', { name: /^Pinion:/ }).waitFor(PATIENCE)
    return page
  }

  /** Stop, put the backup back, start. `meanwhile`: what happens while the server is away. */
  async restore(meanwhile: () => Promise<void> = () => Promise.resolve()): Promise<void> {
    await this.server.stop()
    await meanwhile()
    must(restore(this.backup, this.server.dataFolder, Date.now()))
    await this.server.restart()
  }

  async dispose(): Promise<void> {
    await closeBrowser()
    await this.server.dispose()
  }
}
