import type { EditContext } from '@/lib/board'
import { stockClient } from './read-board'
import type { JoinedClient, ServerProcess } from './server-process'

/** A device of somebody's that edits as they may, without a screen: a stock client on the kit and on one meeting. */
export async function editDevice(
  server: ServerProcess,
  client: JoinedClient,
  room: string,
): Promise<EditContext & { close: () => void }> {
  const kit = stockClient(server, client, 'kit')
  const meeting = stockClient(server, client, room)
  await Promise.all([kit.synced, meeting.synced])
  return {
    docs: { kit: kit.doc, meeting: meeting.doc },
    actor: { personId: client.personId, role: client.role },
    clock: { now: () => Date.now() },
    close: () => {
      kit.close()
      meeting.close()
    },
  }
}
