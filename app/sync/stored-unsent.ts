import type { ClientStore } from './client-store'
import type { RoomClient } from './room-client'
import { unsentText } from './unsent-text'

/** What the device stores that was never sent, in words, over all rooms; `open` makes a room's client, which is closed again. */
export async function storedUnsent(
  store: ClientStore,
  open: (room: string) => RoomClient,
): Promise<string[]> {
  const lost = await store.allPending()
  // With the kit, by whose names the text is put into words.
  const rooms = [...new Set(['kit', ...lost.map((p) => p.room)])].map(open)
  await Promise.all(rooms.map((r) => r.load()))
  const kit = rooms.find((r) => r.room === 'kit')?.doc ?? null
  const unsent = rooms.flatMap((r) => unsentText(r, kit))
  rooms.forEach((r) => r.close())
  return unsent
}
