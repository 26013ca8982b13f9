import { createServer, type AddressInfo } from 'node:net'
import { ServerProcess } from './server-process'

export const PEER_SECRET = 'a word that only the processes of a test share'

export async function freePort(): Promise<number> {
  const probe = createServer()
  await new Promise<void>((resolve) => probe.listen(0, '127.0.0.1', resolve))
  const { port } = probe.address() as AddressInfo
  await new Promise((resolve) => probe.close(resolve))
  return port
}

/** One process of a board that several serve together, over one database. */
export async function startPeer(database: string, env: Record<string, string> = {}): Promise<ServerProcess> {
  return ServerProcess.start({
    screens: false,
    database,
    env: {
      STAGECALL_LOG: 'info',
      STAGECALL_PEER: `127.0.0.1:${await freePort()}`,
      STAGECALL_PEER_SECRET: PEER_SECRET,
      ...env,
    },
  })
}

/** Whether this process judges the board, by its figures. */
export async function servesBoard(server: ServerProcess): Promise<boolean> {
  const res = await fetch(`http://127.0.0.1:${server.port}/metrics`)
  return /^stagecall_serves_board 1$/m.test(await res.text())
}
