import type { PeerSettings } from '../env'
import type { BoardHost } from '../host-board'
import { BoardTurns, type BoardTurnsParts, type Led } from './board-turns'
import { readPeerAddress } from './peer-line'
import { startPeerServer } from './peer-server'
import { Relay } from './relay'

interface Parts<T extends Led> extends Omit<BoardTurnsParts<T>, 'address' | 'relay'> {
  peer: PeerSettings
  /** Whether clients come to this process over TLS. */
  secure: boolean
}

type Host<T> = Omit<BoardHost, 'board' | 'hasNotice'> & {
  /** What this process leads; null while another one does. */
  led: () => T | null
}

/** [P1, P2] One process among others: it leads, or passes on to the one that does. @throws DatabaseError */
export async function amongPeers<T extends Led>(parts: Parts<T>): Promise<Host<T>> {
  const { address, key } = parts.peer
  const at = readPeerAddress(address)
  if (at === null) throw new TypeError(`${address} is no address`)
  const relay = new Relay(key, parts.secure)
  let turns: BoardTurns<T> | null = null
  // It stands before this process can be found in the database.
  const peers = await startPeerServer(at, key, () => turns?.board ?? null)
  try {
    const running = await BoardTurns.start({ ...parts, address, relay })
    turns = running
    return {
      api: (req, res, to) => running.api(req, res, to),
      upgrade: running.upgrade,
      led: () => running.board,
      stats: () => running.board?.stats() ?? null,
      whyNotReady: () => running.whyNotReady(),
      // With the sockets the board is given to the next process at once: its phones wait for that alone.
      closeSockets: () => running.close(),
      close: async () => {
        await running.close()
        await peers.close()
      },
    }
  } catch (e) {
    await peers.close()
    throw e
  }
}
