import { setTimeout as sleep } from 'node:timers/promises'
import type { ServerProcess } from '../../support/server-process'

const SOCKETS_EACH = 15
const TRIES = 40

/** Sessions of managers for so many sockets: nobody has more of them than one device may. Strangers may join only so fast, so some are asked again. */
export async function cookiesFor(server: ServerProcess, sockets: number): Promise<string[]> {
  const cookies: string[] = []
  for (let tries = 0; cookies.length < Math.ceil(sockets / SOCKETS_EACH) + 1;)
    try {
      cookies.push((await server.join('manager', { name: `Manager ${cookies.length}` })).cookie)
    } catch (e) {
      if (++tries > TRIES) throw e
      await sleep(250)
    }
  return cookies
}
