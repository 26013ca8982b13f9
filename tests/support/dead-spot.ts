import type { BrowserContext, WebSocketRoute } from 'playwright'
import { isWhole } from './browser'

export interface DeadSpot {
  /** The phone loses the network: open sockets break, new ones fail, pages can't be fetched. */
  enter: () => Promise<void>
  leave: () => Promise<void>
}

/** A switch for one phone's network. Call before its first page opens: Chromium's own offline switch leaves open sockets alone. */
export async function deadSpot(context: BrowserContext): Promise<DeadSpot> {
  let dead = false
  const open = new Set<{ page: WebSocketRoute; server: WebSocketRoute | null }>()
  await context.routeWebSocket(/\/sync\//, (page) => {
    const pair = { page, server: dead ? null : page.connectToServer() }
    open.add(pair)
    if (dead) void page.close({ code: 1012 })
  })
  return {
    enter: async () => {
      // Phones lose the network after they have loaded their page, not within its first seconds; that case has a test of its own.
      for (const page of context.pages()) await isWhole(page)
      dead = true
      await context.setOffline(true)
      for (const { page, server } of open)
        await Promise.all([page.close({ code: 1012 }), server?.close({ code: 1012 })])
      open.clear()
    },
    leave: async () => {
      dead = false
      await context.setOffline(false)
    },
  }
}
